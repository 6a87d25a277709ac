"""Reinforcement of a welded branch by replacement of area: ASME B31.3 para. 304.3.3.

Not for tees, outlets and fittings made to a listed standard or proven otherwise (304.3.2), which need no
calculation of area. From memory of the code; the two worked examples of its Appendix H are reproduced.
"""

from dataclasses import dataclass
from math import isfinite, pi

import numpy as np

from pipecalc.calc.domain import inside, quotient
from pipecalc.calc.pressure import pressure_design_thickness

SMALLEST_ANGLE = pi / 4
THIN_HEADER = 100.0
_ROUNDING = 1e-9


def removed_length(D_b: float, T_b: float, c: float, beta: float) -> float:
    """Length taken out of the header at the branch.

    Formula:
        d_1 = (D_b - 2*(T_b - c))/sin(beta)

    Args:
        D_b: Outside diameter of the branch [m].
        T_b: Wall of the branch, mill tolerance deducted [m].
        c: Sum of allowances [m].
        beta: Angle between the axes, at most a right angle [rad].

    Returns:
        d_1 [m].

    Source: ASME B31.3 para. 304.3.3(a).
    """
    return inside((T_b > c) & (D_b > 2 * (T_b - c)), quotient(D_b - 2 * (T_b - c), np.sin(beta)))


def half_width(d_1: float, T_b: float, T_h: float, c: float, D_h: float) -> float:
    """Half width of the reinforcement zone.

    Formula:
        d_2 = min(D_h, max(d_1, (T_b - c) + (T_h - c) + d_1/2))

    Args:
        d_1: Length taken out of the header [m].
        T_b: Wall of the branch, mill tolerance deducted [m].
        T_h: Wall of the header, mill tolerance deducted [m].
        c: Sum of allowances [m].
        D_h: Outside diameter of the header [m].

    Returns:
        d_2 [m].

    Source: ASME B31.3 para. 304.3.3(a).
    """
    return inside(d_1 > 0, np.minimum(D_h, np.maximum(d_1, (T_b - c) + (T_h - c) + d_1 / 2)))


def zone_height(T_h: float, T_b: float, T_r: float, c: float) -> float:
    """Height of the reinforcement zone outside the header.

    Formula:
        L_4 = min(2.5*(T_h - c), 2.5*(T_b - c) + T_r)

    Args:
        T_h: Wall of the header, mill tolerance deducted [m].
        T_b: Wall of the branch, mill tolerance deducted [m].
        T_r: Least thickness of the pad, zero for none [m].
        c: Sum of allowances [m].

    Returns:
        L_4 [m].

    Source: ASME B31.3 para. 304.3.3(a).
    """
    return inside((T_h > c) & (T_b > c) & (T_r >= 0), np.minimum(2.5 * (T_h - c), 2.5 * (T_b - c) + T_r))


def required_area(t_h: float, d_1: float, beta: float) -> float:
    """Area that must be replaced.

    Formula:
        A_1 = t_h*d_1*(2 - sin(beta))

    Args:
        t_h: Pressure design thickness of the header [m].
        d_1: Length taken out of the header [m].
        beta: Angle between the axes [rad].

    Returns:
        A_1 [m²].

    Source: ASME B31.3 para. 304.3.3(b), eq. (6).
    """
    return inside(t_h >= 0, t_h * d_1 * (2 - np.sin(beta)))


def header_area(d_2: float, d_1: float, T_h: float, t_h: float, c: float) -> float:
    """Area that the header's excess wall offers.

    Formula:
        A_2 = (2*d_2 - d_1)*(T_h - t_h - c)

    Args:
        d_2: Half width of the zone [m].
        d_1: Length taken out of the header [m].
        T_h: Wall of the header, mill tolerance deducted [m].
        t_h: Its pressure design thickness [m].
        c: Sum of allowances [m].

    Returns:
        A_2 [m²]; NaN where the header is thinner than it must be.

    Source: ASME B31.3 para. 304.3.3(c)(1), eq. (7).
    """
    return inside(T_h - t_h - c >= 0, (2 * d_2 - d_1) * (T_h - t_h - c))


def branch_area(L_4: float, T_b: float, t_b: float, c: float, beta: float, ratio: float) -> float:
    """Area that the branch's excess wall offers.

    Formula:
        A_3 = 2*L_4*(T_b - t_b - c)/sin(beta)*ratio

    Args:
        L_4: Height of the zone [m].
        T_b: Wall of the branch, mill tolerance deducted [m].
        t_b: Its pressure design thickness [m].
        c: Sum of allowances [m].
        beta: Angle between the axes [rad].
        ratio: Allowable stress of the branch over that of the header, one where it is higher [-].

    Returns:
        A_3 [m²]; NaN where the branch is thinner than it must be.

    Source: ASME B31.3 para. 304.3.3(c)(2), eq. (8), and the rule on a weaker material.
    """
    sound = (T_b - t_b - c >= 0) & (ratio > 0) & (ratio <= 1)
    return inside(sound, quotient(2 * L_4 * (T_b - t_b - c) * ratio, np.sin(beta)))


def pad_area(T_r: float, D_r: float, D_b: float, d_2: float, beta: float, ratio: float) -> float:
    """Area that a pad offers within the zone.

    Formula:
        A_4 = T_r*(min(D_r, 2*d_2) - D_b/sin(beta))*ratio

    Args:
        T_r: Least thickness of the pad [m].
        D_r: Length of the pad along the header, outside diameter of a ring [m].
        D_b: Outside diameter of the branch [m].
        d_2: Half width of the zone [m].
        beta: Angle between the axes [rad].
        ratio: Allowable stress of the pad over that of the header, one where it is higher [-].

    Returns:
        A_4 [m²]; NaN where the pad does not reach beyond the branch.

    Source: ASME B31.3 para. 304.3.3(c)(3).
    """
    reach = np.minimum(D_r, 2 * d_2) - quotient(D_b, np.sin(beta))
    return inside((reach > 0) & (T_r > 0) & (ratio > 0) & (ratio <= 1), T_r * reach * ratio)


@dataclass(frozen=True, slots=True)
class Pad:
    """A ring around the branch.

    Attributes:
        thickness: Least thickness [m].
        diameter: Outside diameter, or length along the header [m].
        allowable: Allowable stress at design temperature [Pa].
    """

    thickness: float
    diameter: float
    allowable: float


@dataclass(frozen=True, slots=True)
class Branch:
    """A welded branch under internal pressure. Lengths in m, stresses and pressure in Pa, the angle in rad.

    Attributes:
        pressure: Internal design gauge pressure.
        angle: Between the axes, at most a right angle.
        header_diameter: Outside.
        header_wall: Measured, or nominal less mill tolerance.
        header_strength: Allowable stress times quality factor times W of the header.
        branch_diameter: Outside.
        branch_wall: Measured, or nominal less mill tolerance.
        branch_strength: Allowable stress times quality factor times W of the branch.
        allowance: Sum of allowances.
        y: Coefficient Y of the wall formula.
        pad: The ring, or None.
        weld_area: Area of the fillet welds within the zone [m²].
    """

    pressure: float
    angle: float
    header_diameter: float
    header_wall: float
    header_strength: float
    branch_diameter: float
    branch_wall: float
    branch_strength: float
    allowance: float
    y: float
    pad: Pad | None = None
    weld_area: float = 0.0


@dataclass(frozen=True, slots=True)
class Reinforcement:
    """Areas of the check.

    Attributes:
        required: A_1 [m²]; NaN where the rule does not hold.
        available: A_2 + A_3 + A_4 [m²]; likewise.
        inputs: Every number by its symbol, SI.
        reasons: Limits that are not met, in words.
    """

    required: float
    available: float
    inputs: dict[str, float]
    reasons: tuple[str, ...]


def reinforcement(branch: Branch) -> Reinforcement:
    """Required and available area of a welded branch connection.

    Args:
        branch: The connection.

    Returns:
        The areas; NaN with the reason where 304.3.3 does not hold.

    Source: ASME B31.3 para. 304.3.3, eq. (6) to (8).
    """
    inputs = _areas(branch)
    reasons = _outside_limits(branch, inputs)
    if reasons:
        return Reinforcement(float("nan"), float("nan"), inputs, reasons)
    return Reinforcement(inputs["A_1"], inputs["A_2"] + inputs["A_3"] + inputs["A_4"], inputs, ())


def _areas(b: Branch) -> dict[str, float]:
    T_r = b.pad.thickness if b.pad else 0.0
    t_h = _design_thickness(b, b.header_diameter, b.header_strength)
    t_b = _design_thickness(b, b.branch_diameter, b.branch_strength)
    c, beta = b.allowance, b.angle
    d_1 = removed_length(b.branch_diameter, b.branch_wall, c, beta)
    d_2 = half_width(d_1, b.branch_wall, b.header_wall, c, b.header_diameter)
    L_4 = zone_height(b.header_wall, b.branch_wall, T_r, c)
    ring = 0.0
    if b.pad:
        share = min(1.0, b.pad.allowable / b.header_strength)
        ring = pad_area(T_r, b.pad.diameter, b.branch_diameter, d_2, beta, share)
    ratio = min(1.0, b.branch_strength / b.header_strength)
    sizes = {"D_h": b.header_diameter, "T_h": b.header_wall, "D_b": b.branch_diameter, "T_b": b.branch_wall}
    zone = {"c": c, "beta": beta, "t_h": t_h, "t_b": t_b, "d_1": d_1, "d_2": d_2, "L_4": L_4, "ratio": ratio}
    areas = {
        "A_1": required_area(t_h, d_1, beta),
        "A_2": header_area(d_2, d_1, b.header_wall, t_h, c),
        "A_3": branch_area(L_4, b.branch_wall, t_b, c, beta, ratio),
        "A_4": ring + b.weld_area,
    }
    return {**sizes, **zone, "T_r": T_r, "A_pad": ring, "A_weld": b.weld_area, **areas}


def _design_thickness(b: Branch, diameter: float, strength: float) -> float:
    return pressure_design_thickness(b.pressure, diameter, strength, 1.0, 1.0, b.y)


def _outside_limits(b: Branch, inputs: dict[str, float]) -> tuple[str, ...]:
    ratio = b.branch_diameter / b.header_diameter
    thin = b.header_diameter / b.header_wall >= THIN_HEADER if b.header_wall > 0 else False
    limits = [
        (SMALLEST_ANGLE * (1 - _ROUNDING) <= b.angle <= pi / 2 * (1 + _ROUNDING), "the angle is not 45 to 90 degrees"),
        (ratio <= 1 + _ROUNDING, "the branch is larger than the header"),
        (not thin or ratio < 0.5, "D/T of the header is 100 or more and the branch not below half its size"),
        (b.weld_area >= 0, "the area of the welds is below zero"),
        (isfinite(inputs["t_h"]) and isfinite(inputs["t_b"]), "the wall formula 304.1.2(a) does not hold"),
        (isfinite(inputs["A_2"]), "the header's wall does not carry the pressure and the allowances"),
        (isfinite(inputs["A_3"]), "the branch's wall does not carry the pressure and the allowances"),
        (isfinite(inputs["A_4"]), "the pad does not reach beyond the branch"),
    ]
    return tuple(reason for met, reason in limits if not met)


def fillet_throat(T_b: float) -> float:
    """Least throat of the fillet weld between branch and header or pad.

    Formula:
        t_c = min(0.7*T_b, 0.006)

    Args:
        T_b: Nominal wall of the branch [m].

    Returns:
        t_c [m].

    Source: ASME B31.3 para. 328.5.4(c): the lesser of 0.7 T_b and 6 mm (printed also as 1/4 in.).
    """
    return inside(T_b > 0, np.minimum(0.7 * T_b, 0.006))


def fillet_pair_area(leg: float) -> float:
    """Area of the two fillet welds, one on each side, of equal legs.

    Args:
        leg: Leg [m].

    Returns:
        Area [m²]: twice half the square of the leg.
    """
    return inside(leg >= 0, leg**2)
