"""Static seismic coefficients and wind load on pipes: ASCE 7-16 and ASCE 7-22.

From memory unless said otherwise; verify against the edition of record. Coefficients are at strength level;
``ALLOWABLE_STRESS_SEISMIC`` and ``ALLOWABLE_STRESS_WIND`` bring them to the level of allowable stresses.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from pipecalc.calc.domain import inside, power, quotient, square_root

ALLOWABLE_STRESS_SEISMIC = 0.7
ALLOWABLE_STRESS_WIND = 0.6
LOWEST_HEIGHT = 4.6  # m, 15 ft: the exposure coefficient holds below
COMPONENT_AMPLIFICATION = 2.5  # a_p of distribution piping, ASCE 7-16 Table 13.6-1
SOURCE_R_P = "ASCE 7-16 Table 13.6-1, from memory"

#: R_p of piping by construction, ASCE 7-16 Table 13.6-1, from memory.
RESPONSE_MODIFICATION: Mapping[str, float] = MappingProxyType(
    {
        "ASME B31, welded or brazed": 12.0,
        "ASME B31, threaded, bonded or grooved": 6.0,
        "not to ASME B31, welded or brazed": 9.0,
        "not to ASME B31, threaded, bonded or grooved": 4.5,
        "low deformability": 3.0,
    }
)


@dataclass(frozen=True, slots=True)
class Exposure:
    """A terrain: exponent of the wind profile [-] and height of the gradient wind [m]."""

    alpha: float
    gradient_height: float


#: ASCE 7-16 Table 26.11-1, from memory.
EXPOSURES_2016: Mapping[str, Exposure] = MappingProxyType(
    {"B": Exposure(7.0, 365.76), "C": Exposure(9.5, 274.32), "D": Exposure(11.5, 213.36)}
)


def design_acceleration(F_a: float, S_S: float) -> float:
    """Design spectral acceleration at short periods.

    Formula:
        S_DS = 2/3*F_a*S_S

    Args:
        F_a: Site coefficient [-].
        S_S: Mapped acceleration at short periods, in g [-].

    Returns:
        S_DS, in g [-].

    Source: ASCE 7-16 eq. (11.4-1) and (11.4-3).
    """
    return inside((F_a > 0) & (S_S >= 0), 2 / 3 * F_a * S_S)


def horizontal_coefficient_2016(S_DS: float, a_p: float, R_p: float, I_p: float, z: float, h: float) -> float:
    """Horizontal seismic force over weight for piping on a structure, strength level.

    Formula:
        F_p = 0.4*a_p*S_DS*I_p/R_p*(1 + 2*min(1, z/h))
        C = min(1.6*S_DS*I_p, max(0.3*S_DS*I_p, F_p))

    Args:
        S_DS: Design spectral acceleration at short periods, in g [-].
        a_p: Component amplification factor, 2.5 for distribution piping [-].
        R_p: Component response modification factor [-].
        I_p: Component importance factor, 1.0 or 1.5 [-].
        z: Height of the point of attachment above grade [m].
        h: Mean roof height of the structure [m].

    Returns:
        Coefficient C [-]; above the roof z/h stays at one.

    Source: ASCE 7-16 eq. (13.3-1) to (13.3-3); the limits 0.3 and 1.6 from memory.
    """
    height = np.minimum(1.0, quotient(z, h))
    force = quotient(0.4 * a_p * S_DS * I_p, R_p) * (1 + 2 * height)
    held = np.minimum(1.6 * S_DS * I_p, np.maximum(0.3 * S_DS * I_p, force))
    return inside((z >= 0) & (S_DS >= 0) & (a_p > 0) & (I_p >= 1), held)


def height_factor_2022(z: float, h: float, T_a: float) -> float:
    """Amplification of the ground's acceleration with height, period of the structure known.

    Formula:
        a_1 = min(1/T_a, 2.5)
        a_2 = max(1 - (0.4/T_a)**2, 0)
        H_f = 1 + a_1*min(1, z/h) + a_2*min(1, z/h)**10

    Args:
        z: Height of the point of attachment above grade; zero at grade or below [m].
        h: Mean roof height [m].
        T_a: Lowest approximate period of the structure [s].

    Returns:
        H_f [-].

    Source: ASCE 7-22 eq. (13.3-4).
    """
    height = np.minimum(1.0, quotient(z, h))
    a_1 = np.minimum(quotient(1.0, T_a), 2.5)
    a_2 = np.maximum(1 - quotient(0.4, T_a) ** 2, 0)
    return inside(z >= 0, 1 + a_1 * height + a_2 * height**10)


def height_factor_2022_unknown_period(z: float, h: float) -> float:
    """Amplification of the ground's acceleration with height, period of the structure unknown.

    Formula:
        H_f = 1 + 2.5*min(1, z/h)

    Args:
        z: Height of the point of attachment above grade [m].
        h: Mean roof height [m].

    Returns:
        H_f [-].

    Source: ASCE 7-22 eq. (13.3-5).
    """
    return inside(z >= 0, 1 + 2.5 * np.minimum(1.0, quotient(z, h)))


def ductility_factor_2022(R: float, I_e: float, Omega_0: float) -> float:
    """Reduction for the ductility of the structure; one for a component at grade.

    Formula:
        R_mu = max(1.3, sqrt(1.1*R/(I_e*Omega_0)))

    Args:
        R: Response modification factor of the structure [-].
        I_e: Its importance factor [-].
        Omega_0: Its overstrength factor [-].

    Returns:
        R_mu [-].

    Source: ASCE 7-22 eq. (13.3-6).
    """
    return inside(R > 0, np.maximum(1.3, square_root(quotient(1.1 * R, I_e * Omega_0))))


def horizontal_coefficient_2022(S_DS: float, I_p: float, H_f: float, R_mu: float, C_AR: float, R_po: float) -> float:
    """Horizontal seismic force over weight for piping on a structure, strength level.

    Formula:
        F_p = 0.4*S_DS*I_p*H_f/R_mu*C_AR/R_po
        C = min(1.6*S_DS*I_p, max(0.3*S_DS*I_p, F_p))

    Args:
        S_DS: Design spectral acceleration at short periods, in g [-].
        I_p: Component importance factor [-].
        H_f: Amplification with height, one at grade [-].
        R_mu: Reduction for the structure's ductility, one at grade [-].
        C_AR: Component resonance ductility factor, from the tables [-].
        R_po: Component strength factor, from the tables [-].

    Returns:
        Coefficient C [-].

    Source: ASCE 7-22 eq. (13.3-1) to (13.3-3).
    """
    force = quotient(0.4 * S_DS * I_p * H_f, R_mu) * quotient(C_AR, R_po)
    held = np.minimum(1.6 * S_DS * I_p, np.maximum(0.3 * S_DS * I_p, force))
    return inside((S_DS >= 0) & (I_p >= 1) & (H_f >= 1) & (R_mu >= 1) & (C_AR > 0), held)


def vertical_coefficient(S_DS: float) -> float:
    """Vertical seismic force over weight, strength level, up or down.

    Formula:
        C_v = 0.2*S_DS

    Args:
        S_DS: Design spectral acceleration at short periods, in g [-].

    Returns:
        Coefficient [-].

    Source: ASCE 7-16 and 7-22 para. 13.3.1.
    """
    return inside(S_DS >= 0, 0.2 * S_DS)


def exposure_coefficient_2016(z: float, alpha: float, z_g: float) -> float:
    """Velocity pressure exposure coefficient.

    Formula:
        K_z = 2.01*(max(z, 4.6)/z_g)**(2/alpha)

    Args:
        z: Height above ground [m]; below 4.6 m (15 ft) the value there holds.
        alpha: Exponent of the wind profile [-].
        z_g: Height of the gradient wind [m].

    Returns:
        K_z [-]; NaN below ground and above z_g.

    Source: ASCE 7-16 Table 26.10-1, note 1.
    """
    K_z = 2.01 * power(quotient(np.maximum(z, LOWEST_HEIGHT), z_g), quotient(2.0, alpha))
    return inside((z >= 0) & (z <= z_g), K_z)


def velocity_pressure(K_z: float, K_zt: float, K_d: float, K_e: float, V: float) -> float:
    """Velocity pressure of the wind.

    Formula:
        q_z = 0.613*K_z*K_zt*K_d*K_e*V**2

    Args:
        K_z: Exposure coefficient [-].
        K_zt: Topographic factor [-].
        K_d: Directionality factor, 0.95 for round sections [-]; one for ASCE 7-22, whose force has it.
        K_e: Ground elevation factor [-].
        V: Basic wind speed [m/s].

    Returns:
        q_z [Pa].

    Source: ASCE 7-16 eq. (26.10-1); 0.613 is half the density of standard air, 1.226 kg/m³.
    """
    sound = (K_z > 0) & (K_zt >= 1) & (K_d > 0) & (K_d <= 1) & (K_e > 0) & (V >= 0)
    return inside(sound, 0.613 * K_z * K_zt * K_d * K_e * V**2)


def wind_load(q_z: float, G: float, C_f: float, D: float) -> float:
    """Wind force per length of pipe.

    Formula:
        w = q_z*G*C_f*D

    Args:
        q_z: Velocity pressure [Pa].
        G: Gust-effect factor, 0.85 for rigid structures [-].
        C_f: Force coefficient: 0.7 for pipes in racks, 0.5 to 1.2 for single round members by roughness [-].
        D: Outside diameter of the insulation [m].

    Returns:
        Force per length [N/m], strength level for the wind speeds of ASCE 7-10 and later.

    Source: ASCE 7-16 eq. (29.4-1) applied to a length; 0.7 in racks from a published guide for petrochemical
    structures.
    """
    return inside((q_z >= 0) & (G > 0) & (C_f > 0) & (D > 0), q_z * G * C_f * D)
