"""Code stresses of a pipe section with bending, torsion and axial force kept apart: ASME B31.3 320.2 and 319.4.4.

Written from memory of the code; verify against the edition of record. Scalars or arrays of one shape. An axial
force is positive in tension.
"""

import numpy as np

from pipecalc.calc.domain import inside, quotient, scalar

SMALLEST_SHARE = 0.75


def corroded_wall(T: float, c: float) -> float:
    """Wall left when the allowances are gone.

    Formula:
        t = T - c

    Args:
        T: Nominal wall [m].
        c: Sum of corrosion, erosion, thread and groove allowances [m].

    Returns:
        Wall t [m]; NaN for a negative allowance or one that leaves nothing.

    Source: ASME B31.3 para. 320.2, nominal dimensions less allowances.
    """
    return inside((c >= 0) & (c < T), T - c)


def longitudinal_pressure_stress(P: float, D: float, t: float) -> float:
    """Longitudinal stress of a closed pipe free to lengthen: pressure on the bore, carried by the metal.

    Formula:
        d = D - 2*t
        S_p = P*d**2/(D**2 - d**2)

    Args:
        P: Gauge pressure [Pa], negative for vacuum.
        D: Outside diameter [m].
        t: Wall [m].

    Returns:
        Stress S_p [Pa].

    Source: equilibrium of the closed end; the pressure part of F_a in ASME B31.3 para. 320.2.
    """
    d = D - 2 * t
    return inside((t > 0) & (d > 0), quotient(P * d**2, D**2 - d**2))


def longitudinal_pressure_stress_thin(P: float, D: float, t: float) -> float:
    """Longitudinal pressure stress by the thin-wall form, which is the larger.

    Formula:
        S_p = P*D/(4*t)

    Args:
        P: Gauge pressure [Pa].
        D: Outside diameter [m].
        t: Wall [m].

    Returns:
        Stress S_p [Pa].

    Source: ASME B31.1 para. 104.8.1; EN 13480-3 clause 12.3.2; common practice in notes to ASME B31.3.
    """
    return inside((t > 0) & (2 * t < D), quotient(P * D, 4 * t))


def hoop_stress(P: float, D: float, t: float) -> float:
    """Circumferential pressure stress by the thin-wall form, for the limit during a pressure test.

    Formula:
        S_c = P*D/(2*t)

    Args:
        P: Gauge pressure [Pa].
        D: Outside diameter [m].
        t: Wall [m].

    Returns:
        Stress [Pa].

    Source: membrane equilibrium; the nominal pressure stress of ASME B31.3 para. 345.2.1.
    """
    return inside((t > 0) & (2 * t < D), quotient(P * D, 2 * t))


def sustained_index(i: float) -> float:
    """Sustained stress index from a stress intensification factor, where no better data exist.

    Formula:
        I = max(1, 0.75*i)

    Args:
        i: Stress intensification factor [-], not below one.

    Returns:
        I [-]; NaN for a factor below one.

    Source: ASME B31.3-2010 to 2022 para. 320.2; the 2024 edition refers to ASME B31J for its default.
    """
    return factor(i, np.maximum(1.0, SMALLEST_SHARE * i))


def axial_force(F: float, S_p: float, A_p: float) -> float:
    """Axial force of a section with the pressure's share.

    Formula:
        F_a = F + S_p*A_p

    Args:
        F: Axial force of the other sustained loads, tension positive [N].
        S_p: Longitudinal pressure stress [Pa].
        A_p: Area of metal, allowances deducted [m²].

    Returns:
        F_a [N].

    Source: ASME B31.3 para. 320.2, definition of F_a; signed terms are added before the absolute value.
    """
    return F + S_p * A_p


def sustained_axial_stress(I_a: float, F_a: float, A_p: float) -> float:
    """Axial stress of sustained loads.

    Formula:
        S_a = I_a*F_a/A_p

    Args:
        I_a: Sustained axial force index [-].
        F_a: Axial force with that of pressure, tension positive [N].
        A_p: Area of metal, allowances deducted [m²].

    Returns:
        S_a [Pa], signed.

    Source: ASME B31.3 para. 320.2, eq. (23d).
    """
    return quotient(I_a * F_a, A_p)


def sustained_bending_stress(I_i: float, M_i: float, I_o: float, M_o: float, Z_b: float) -> float:
    """Bending stress of sustained loads.

    Formula:
        S_b = sqrt((I_i*M_i)**2 + (I_o*M_o)**2)/Z_b

    Args:
        I_i: Sustained in-plane moment index [-].
        M_i: In-plane bending moment [N·m].
        I_o: Sustained out-of-plane moment index [-].
        M_o: Out-of-plane bending moment [N·m].
        Z_b: Section modulus, allowances deducted; the effective one for a branch leg [m³].

    Returns:
        S_b [Pa].

    Source: ASME B31.3 para. 320.2, eq. (23b).
    """
    return quotient(np.hypot(I_i * M_i, I_o * M_o), Z_b)


def sustained_torsion_stress(I_t: float, M_t: float, Z: float) -> float:
    """Torsional stress of sustained loads.

    Formula:
        S_t = I_t*M_t/(2*Z)

    Args:
        I_t: Sustained torsional moment index [-].
        M_t: Torsional moment [N·m].
        Z: Section modulus of the pipe, allowances deducted [m³].

    Returns:
        S_t [Pa], signed.

    Source: ASME B31.3 para. 320.2, eq. (23c).
    """
    return quotient(I_t * M_t, 2 * Z)


def sustained_stress(S_a: float, S_b: float, S_t: float) -> float:
    """Stress of sustained loads, also with occasional loads added.

    Formula:
        S_L = sqrt((abs(S_a) + S_b)**2 + (2*S_t)**2)

    Args:
        S_a: Axial stress [Pa].
        S_b: Bending stress [Pa].
        S_t: Torsional stress [Pa].

    Returns:
        S_L [Pa].

    Source: ASME B31.3 para. 320.2, eq. (23a).
    """
    return scalar(np.hypot(np.abs(S_a) + S_b, 2 * S_t))


def range_axial_stress(i_a: float, F_a: float, A_p: float) -> float:
    """Axial stress range of displacement strains.

    Formula:
        S_a = i_a*F_a/A_p

    Args:
        i_a: Axial stress intensification factor [-].
        F_a: Range of axial force between two states [N].
        A_p: Area of metal, nominal dimensions [m²].

    Returns:
        S_a [Pa], signed.

    Source: ASME B31.3-2010 and later para. 319.4.4; older editions had no axial term.
    """
    return quotient(i_a * F_a, A_p)


def range_bending_stress(i_i: float, M_i: float, i_o: float, M_o: float, Z_b: float) -> float:
    """Bending stress range of displacement strains.

    Formula:
        S_b = sqrt((i_i*M_i)**2 + (i_o*M_o)**2)/Z_b

    Args:
        i_i: In-plane stress intensification factor [-].
        M_i: Range of the in-plane bending moment [N·m].
        i_o: Out-of-plane stress intensification factor [-].
        M_o: Range of the out-of-plane bending moment [N·m].
        Z_b: Section modulus, nominal dimensions; the effective one for a branch leg [m³].

    Returns:
        S_b [Pa].

    Source: ASME B31.3 para. 319.4.4, eq. (18), for a branch leg eq. (20).
    """
    return quotient(np.hypot(i_i * M_i, i_o * M_o), Z_b)


def range_torsion_stress(i_t: float, M_t: float, Z: float) -> float:
    """Torsional stress range of displacement strains.

    Formula:
        S_t = i_t*M_t/(2*Z)

    Args:
        i_t: Torsional stress intensification factor [-].
        M_t: Range of the torsional moment [N·m].
        Z: Section modulus of the pipe, nominal dimensions [m³].

    Returns:
        S_t [Pa], signed.

    Source: ASME B31.3 para. 319.4.4.
    """
    return quotient(i_t * M_t, 2 * Z)


def displacement_stress_range(S_a: float, S_b: float, S_t: float) -> float:
    """Displacement stress range.

    Formula:
        S_E = sqrt((abs(S_a) + S_b)**2 + (2*S_t)**2)

    Args:
        S_a: Axial stress range [Pa].
        S_b: Bending stress range [Pa].
        S_t: Torsional stress range [Pa].

    Returns:
        S_E [Pa].

    Source: ASME B31.3 para. 319.4.4, eq. (17).
    """
    return scalar(np.hypot(np.abs(S_a) + S_b, 2 * S_t))


def axial_factor(i_o: float, bend: bool) -> float:
    """Axial stress intensification factor where the code lists none.

    Args:
        i_o: Out-of-plane, or only, stress intensification factor [-].
        bend: True for elbows, bends and mitres.

    Returns:
        i_a [-]: one for bends, i_o for every other component.

    Source: ASME B31.3-2018 para. 319.4.4, definition of i_a.
    """
    return scalar(np.where(bend, factor(i_o, 1.0), factor(i_o, i_o)))


def factor(i: float, value: float) -> float:
    """A value that hangs on a stress intensification factor: NaN unless the factor is one or more."""
    return inside(np.asarray(i) >= 1.0, value)
