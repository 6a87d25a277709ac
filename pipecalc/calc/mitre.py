"""Flexibility and stress intensification of mitre bends.

The family of formulas is that of the elbows, written from memory of ASME B31.3-2018 Appendix D, Table D300.
"""

from math import pi

import numpy as np

from pipecalc.calc.domain import inside, power, quotient
from pipecalc.calc.elbow import BendFactors, corrected_factors, not_below_one

LARGEST_HALF_ANGLE = pi / 8  # 22.5 degrees


def mitre_characteristic_close(s: float, T: float, theta: float, r2: float) -> float:
    """Flexibility characteristic h of a closely spaced mitre bend.

    Formula:
        h = s*T/(2*tan(theta)*r2**2)

    Args:
        s: Spacing of the cuts on the centre line [m].
        T: Nominal wall [m].
        theta: Half the angle between adjacent mitre axes [rad].
        r2: Mean radius [m].

    Returns:
        h [-].

    Valid for: s < r2 (1 + tan theta), theta up to 22.5 degrees. Outside: NaN.

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    close = (s < r2 * (1 + np.tan(theta))) & _mitre_angle(theta)
    return inside(close, quotient(s * T, 2 * np.tan(theta) * r2**2))


def mitre_characteristic_wide(T: float, theta: float, r2: float) -> float:
    """Flexibility characteristic h of a single or widely spaced mitre.

    Formula:
        h = (1 + 1/tan(theta))*T/(2*r2)

    Args:
        T: Nominal wall [m].
        theta: Half the angle between adjacent mitre axes [rad].
        r2: Mean radius [m].

    Returns:
        h [-].

    Valid for: s >= r2 (1 + tan theta), or a single cut; theta up to 22.5 degrees. Outside: NaN.

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    h = quotient(1 + quotient(1, np.tan(theta)), 2) * quotient(T, r2)
    return inside(_mitre_angle(theta), h)


def mitre_radius_close(s: float, theta: float) -> float:
    """Bend radius equivalent to a closely spaced mitre bend.

    Formula:
        R1 = s/(2*tan(theta))

    Args:
        s: Spacing of the cuts on the centre line [m].
        theta: Half the angle between adjacent mitre axes [rad].

    Returns:
        Equivalent bend radius [m].

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    return inside(_mitre_angle(theta), quotient(s, 2 * np.tan(theta)))


def mitre_radius_wide(theta: float, r2: float) -> float:
    """Bend radius equivalent to a single or widely spaced mitre.

    Formula:
        R1 = r2*(1 + 1/tan(theta))/2

    Args:
        theta: Half the angle between adjacent mitre axes [rad].
        r2: Mean radius [m].

    Returns:
        Equivalent bend radius [m].

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    return inside(_mitre_angle(theta), r2 * (1 + quotient(1, np.tan(theta))) / 2)


def mitre_flexibility_factor(h: float) -> float:
    """Flexibility factor k of a mitre.

    Formula:
        k = max(1, 1.52/h**(5/6))

    Args:
        h: Flexibility characteristic of the mitre [-].

    Returns:
        k [-], not below one.

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    return not_below_one(1.52 * power(h, -5 / 6))


def mitre_intensification(h: float) -> float:
    """Stress intensification factor of a mitre, in plane and out of plane.

    Formula:
        i = max(1, 0.9/h**(2/3))

    Args:
        h: Flexibility characteristic of the mitre [-].

    Returns:
        i [-], not below one.

    Source: ASME B31.3-2018 Appendix D, Table D300. From memory.
    """
    return not_below_one(0.9 * power(h, -2 / 3))


def mitre_factors(
    wall: float,
    half_angle: float,
    mean_radius: float,
    spacing: float | None = None,
    flanged_ends: int = 0,
    pressure: float = 0.0,
    modulus: float = np.inf,
) -> BendFactors:
    """All factors of a mitre bend, closely or widely spaced as its dimensions say.

    Args:
        wall: Nominal wall [m].
        half_angle: Half the angle between adjacent mitre axes [rad].
        mean_radius: Mean radius [m].
        spacing: Spacing of the cuts on the centre line [m]; None for a single cut.
        flanged_ends: Ends with a flange welded directly to it: 0, 1 or 2.
        pressure: Gauge pressure of the state [Pa].
        modulus: Elastic modulus at installation temperature [Pa].

    Returns:
        The factors; NaN for a half angle above 22.5 degrees.

    Source: ASME B31.3-2018 Appendix D, Table D300 with notes. From memory.
    """
    close = spacing is not None and spacing < mean_radius * (1 + np.tan(half_angle))
    if spacing is not None and close:
        h = mitre_characteristic_close(spacing, wall, half_angle, mean_radius)
        radius = mitre_radius_close(spacing, half_angle)
    else:
        h = mitre_characteristic_wide(wall, half_angle, mean_radius)
        radius = mitre_radius_wide(half_angle, mean_radius)
    k, i = mitre_flexibility_factor(h), mitre_intensification(h)
    return corrected_factors(h, k, i, i, wall, radius, mean_radius, flanged_ends, pressure, modulus)


def _mitre_angle(theta: float) -> bool:
    right: bool = (theta > 0) & (theta <= LARGEST_HALF_ANGLE * (1 + 1e-9))
    return right
