"""Code stresses by the resultant form: one factor multiplies the resultant of three moments.

ASME B31.1 para. 104.8 and EN 13480-3 clause 12.3, written from memory; verify against the edition of record. The
axial force other than that of pressure does not enter.
"""

import numpy as np

from pipecalc.calc.domain import quotient, scalar
from pipecalc.calc.stress import factor, longitudinal_pressure_stress_thin, sustained_index


def sustained_resultant(M_i: float, M_o: float, M_t: float) -> float:
    """Resultant moment of sustained loads.

    Formula:
        M_A = sqrt(M_i**2 + M_o**2 + M_t**2)

    Args:
        M_i: In-plane bending moment [N·m].
        M_o: Out-of-plane bending moment [N·m].
        M_t: Torsional moment [N·m].

    Returns:
        M_A [N·m].

    Source: ASME B31.1-2018 para. 104.8.4; EN 13480-3 clause 12.3.
    """
    return _resultant(M_i, M_o, M_t)


def event_resultant(M_iB: float, M_oB: float, M_tB: float) -> float:
    """Resultant moment of an occasional load.

    Formula:
        M_B = sqrt(M_iB**2 + M_oB**2 + M_tB**2)

    Args:
        M_iB: In-plane bending moment, the event alone [N·m].
        M_oB: Out-of-plane bending moment, the event alone [N·m].
        M_tB: Torsional moment, the event alone [N·m].

    Returns:
        M_B [N·m].

    Source: ASME B31.1-2018 para. 104.8.4; EN 13480-3 clause 12.3.
    """
    return _resultant(M_iB, M_oB, M_tB)


def range_resultant(M_i: float, M_o: float, M_t: float) -> float:
    """Resultant of the moment ranges between two states.

    Formula:
        M_C = sqrt(M_i**2 + M_o**2 + M_t**2)

    Args:
        M_i: In-plane bending moment, range [N·m].
        M_o: Out-of-plane bending moment, range [N·m].
        M_t: Torsional moment, range [N·m].

    Returns:
        M_C [N·m].

    Source: ASME B31.1-2018 para. 104.8.4; EN 13480-3 clause 12.3.
    """
    return _resultant(M_i, M_o, M_t)


def resultant_sustained_stress(P: float, D: float, t: float, i: float, M_A: float, Z_b: float) -> float:
    """Stress of sustained loads by the resultant form.

    Formula:
        S_L = P*D/(4*t) + max(1, 0.75*i)*M_A/Z_b

    Args:
        P: Gauge pressure [Pa].
        D: Outside diameter [m].
        t: Wall [m].
        i: Stress intensification factor [-].
        M_A: Resultant moment of sustained loads [N·m].
        Z_b: Section modulus; the effective one for a branch leg [m³].

    Returns:
        S_L [Pa].

    Source: ASME B31.1-2018 para. 104.8.1; EN 13480-3 clause 12.3.2.
    """
    return longitudinal_pressure_stress_thin(P, D, t) + quotient(sustained_index(i) * M_A, Z_b)


def resultant_occasional_stress(P: float, D: float, t: float, i: float, M_A: float, M_B: float, Z_b: float) -> float:
    """Stress of sustained and occasional loads by the resultant form.

    Formula:
        S_o = P*D/(4*t) + max(1, 0.75*i)*(M_A + M_B)/Z_b

    Args:
        P: Gauge pressure during the event [Pa].
        D: Outside diameter [m].
        t: Wall [m].
        i: Stress intensification factor [-].
        M_A: Resultant moment of sustained loads [N·m].
        M_B: Resultant moment of the occasional load [N·m].
        Z_b: Section modulus; the effective one for a branch leg [m³].

    Returns:
        Stress [Pa].

    Source: ASME B31.1-2018 para. 104.8.2; EN 13480-3 clause 12.3.3.
    """
    return longitudinal_pressure_stress_thin(P, D, t) + quotient(sustained_index(i) * (M_A + M_B), Z_b)


def resultant_stress_range(i: float, M_C: float, Z_b: float) -> float:
    """Displacement stress range by the resultant form.

    Formula:
        S_E = i*M_C/Z_b

    Args:
        i: Stress intensification factor [-].
        M_C: Resultant of the moment ranges [N·m].
        Z_b: Section modulus, nominal dimensions; the effective one for a branch leg [m³].

    Returns:
        S_E [Pa]; NaN for a factor below one.

    Source: ASME B31.1-2018 para. 104.8.3; EN 13480-3 clause 12.3.4.
    """
    return factor(i, quotient(i * M_C, Z_b))


def _resultant(M_i: float, M_o: float, M_t: float) -> float:
    return scalar(np.hypot(np.hypot(M_i, M_o), M_t))
