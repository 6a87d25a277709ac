"""Factors of welds, flanges, reducers and other joints, for which the flexibility factor is one or a constant.

Source: ASME B31.3-2018 Appendix D, Table D300, from memory; verify against the edition of record. Unequal-wall
transitions, misaligned welds and anything else without an entry need the user's own factor.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from types import MappingProxyType

import numpy as np

from pipecalc.calc.domain import inside, quotient, square_root

TABLE = "ASME B31.3-2018 Appendix D, Table D300, from memory; verify against the edition of record"
LARGEST_CONE_ANGLE = pi / 3
LARGEST_REDUCER_FACTOR = 2.0
LARGEST_DIAMETER_TO_WALL = 100.0


@dataclass(frozen=True, slots=True)
class JointFactor:
    """Factors of a joint.

    Attributes:
        k: Flexibility factor [-].
        i: Stress intensification factor in every direction of bending [-].
        note: When it holds.
        source: Where it comes from.
    """

    k: float
    i: float
    note: str = ""
    source: str = TABLE


JOINTS: Mapping[str, JointFactor] = MappingProxyType(
    {
        "butt weld": JointFactor(1.0, 1.0, "equal walls, no misalignment"),
        "weld-neck flange": JointFactor(1.0, 1.0),
        "concentric reducer": JointFactor(1.0, 1.0, "older set; the later one has a formula of cone and wall"),
        "slip-on flange, double welded": JointFactor(1.0, 1.2),
        "fillet weld": JointFactor(1.0, 1.3, "full fillet; a small weld has the formula of its leg"),
        "socket weld": JointFactor(1.0, 1.3, "full fillet; a small weld has the formula of its leg"),
        "lap-joint flange": JointFactor(1.0, 1.6, "with stub end"),
        "threaded joint": JointFactor(1.0, 2.3, "pipe joint or flange"),
        "corrugated or creased bend": JointFactor(5.0, 2.5),
    }
)


def joint_factor(kind: str) -> JointFactor:
    """Factors of a joint by its kind.

    Args:
        kind: A key of JOINTS.

    Returns:
        The factors.

    Raises:
        LookupError: No entry; the message lists those there are.
    """
    if kind not in JOINTS:
        raise LookupError(f"no factor for {kind!r}; known are {', '.join(JOINTS)}")
    return JOINTS[kind]


def fillet_weld_intensification(T: float, C_x: float) -> float:
    """Stress intensification factor of a fillet weld by its smaller leg.

    Formula:
        i = max(1.3, 2.1*T/C_x)

    Args:
        T: Nominal wall of the pipe [m].
        C_x: Smaller leg of the fillet [m].

    Returns:
        i [-]; NaN for a wall or leg not above zero.

    Source: ASME B31.3 Appendix D, Table D300 of older editions, note on socket welds. From memory.
    """
    return inside((T > 0) & (C_x > 0), np.maximum(1.3, quotient(2.1 * T, C_x)))


def reducer_intensification(alpha: float, D2: float, t2: float) -> float:
    """Stress intensification factor of a concentric reducer.

    Formula:
        i = min(2, max(1, 0.5 + 0.01*(alpha*180/pi)*sqrt(D2/t2)))

    Args:
        alpha: Cone angle of the reducer, from axis to generator [rad]; the constant is for degrees.
        D2: Outside diameter at the small end [m].
        t2: Wall at the small end [m].

    Returns:
        i [-].

    Valid for: alpha up to 60 degrees, D2/t2 up to 100. Outside: NaN.

    Source: ASME B31J-2017 Table 1-1, from memory with doubt about the digits; verify before use.
    """
    slender = quotient(D2, t2)
    covered = (alpha >= 0) & (alpha <= LARGEST_CONE_ANGLE) & (slender <= LARGEST_DIAMETER_TO_WALL)
    i = 0.5 + 0.01 * (alpha * 180 / pi) * square_root(slender)
    return inside(covered, np.minimum(LARGEST_REDUCER_FACTOR, np.maximum(1.0, i)))
