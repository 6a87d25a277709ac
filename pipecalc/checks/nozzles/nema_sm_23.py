"""NEMA SM 23: loads on the connections of steam turbines, each and combined at the exhaust.

The limits protect the casing only, not the flange or the pipe. The further allowance for the vertical force on a
vertical-down exhaust with an unrestrained expansion joint is not covered: ask the vendor.
"""

from collections.abc import Sequence

from pipecalc.checks.nozzles import rotating
from pipecalc.checks.nozzles.interface import (
    Connection,
    Item,
    Limits,
    NozzleFinding,
    NozzleStandard,
)
from pipecalc.checks.nozzles.rotating import INCH, MachineRule, SumRule

FOOT = 0.3048  # m
LBF = 4.4482216152605  # N
_PER_INCH = LBF / INCH  # lbf/in in N/m
_FOOT_PER_INCH = LBF * FOOT / INCH  # ft·lbf/in in N·m/m

#: Printed in feet, inches and pounds: 3 F + M <= 500 D_e; 2 F + M <= 250 D_c; components 50 to 250 times D_c.
RULE = MachineRule(
    source="NEMA SM 23-1991 (R2002), part 8",
    single=SumRule(a=3 * FOOT, c=500 * _FOOT_PER_INCH, full_size=8 * INCH),
    combined=SumRule(a=2 * FOOT, c=250 * _FOOT_PER_INCH, full_size=9 * INCH),
    per_size={
        "FX": 50 * _PER_INCH,
        "FY": 125 * _PER_INCH,
        "FZ": 100 * _PER_INCH,
        "MX": 250 * _FOOT_PER_INCH,
        "MY": 125 * _FOOT_PER_INCH,
        "MZ": 125 * _FOOT_PER_INCH,
    },
)


def limits(connection: Connection, item: Item) -> Limits:
    """No limits by component for one connection; the resultants are what each could be alone."""
    return rotating.alone_limits(connection, RULE)


def verdict(connection: Connection, item: Item) -> NozzleFinding:
    """Resultant force and moment of one connection together."""
    return rotating.single_verdict(connection, RULE)


def equipment_verdict(connections: Sequence[Connection], item: Item) -> tuple[NozzleFinding, ...]:
    """All connections combined at the centre of the exhaust connection."""
    return rotating.item_verdict(connections, item, RULE, _exhaust)


def _exhaust(connections: Sequence[Connection], item: Item) -> tuple[Sequence[Connection], str]:
    named = [c for c in connections if c.name == item.exhaust]
    if named:
        return named, f"resolved at {item.exhaust}"
    found = rotating.largest(connections)
    return found, f"exhaust not named: taken as the largest connection, {' or '.join(c.name for c in found)}"


STANDARD = NozzleStandard(
    title="NEMA SM 23",
    source=RULE.source,
    kinds=("fixed",),
    confidence="confirmed",
    axes_in_words="X along the shaft, Y up, Z horizontal across the shaft",
    axis_needed="shaft",
    axes=rotating.axes,
    limits=limits,
    verdict=verdict,
    equipment_verdict=equipment_verdict,
    notes=(
        "The pressure thrust of an unrestrained expansion joint belongs to the loads.",
        "The limits protect the turbine's casing, not its flanges or the pipe.",
    ),
)
