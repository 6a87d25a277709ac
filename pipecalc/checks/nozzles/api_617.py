"""API 617: loads on the connections of centrifugal compressors, 1.85 times NEMA SM 23 in its own metric form.

Expander-compressors have another wording; machines sensitive to alignment may be limited to much less. The sizes in
millimetres are taken as NPS times 25.4.
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
from pipecalc.checks.nozzles.rotating import MachineRule, SumRule

_PER_MM = 1e3  # 1/mm in 1/m

#: Printed in N, N·m and mm: F + 1.09 M <= 54.1 D_e; F + 1.64 M <= 40.4 D_c; components 12.3 to 40.5 times D_c.
RULE = MachineRule(
    source="API 617, annex on nozzle loads (App. G of the 6th, annex E of the 7th, annex F of the 8th ed.)",
    single=SumRule(b=1.09, c=54.1 * _PER_MM, full_size=0.200),
    combined=SumRule(b=1.64, c=40.4 * _PER_MM, full_size=0.230),
    per_size={
        "FX": 16.1 * _PER_MM,
        "FY": 40.5 * _PER_MM,
        "FZ": 32.4 * _PER_MM,
        "MX": 24.6 * _PER_MM,
        "MY": 12.3 * _PER_MM,
        "MZ": 12.3 * _PER_MM,
    },
)


def limits(connection: Connection, item: Item) -> Limits:
    """No limits by component for one connection; the resultants are what each could be alone."""
    return rotating.alone_limits(connection, RULE)


def verdict(connection: Connection, item: Item) -> NozzleFinding:
    """Resultant force and moment of one connection together."""
    return rotating.single_verdict(connection, RULE)


def equipment_verdict(connections: Sequence[Connection], item: Item) -> tuple[NozzleFinding, ...]:
    """All connections combined at the centre of the largest one."""
    return rotating.item_verdict(connections, item, RULE, _largest)


def _largest(connections: Sequence[Connection], item: Item) -> tuple[Sequence[Connection], str]:
    found = rotating.largest(connections)
    return found, f"resolved at the largest connection, {' or '.join(c.name for c in found)}"


STANDARD = NozzleStandard(
    title="API 617",
    source=RULE.source,
    kinds=("fixed",),
    confidence="memory",
    axes_in_words="X along the shaft, Y up, Z horizontal across the shaft",
    axis_needed="shaft",
    axes=rotating.axes,
    limits=limits,
    verdict=verdict,
    equipment_verdict=equipment_verdict,
    notes=(
        "The multipliers of the components are from memory and agree with 1.85 times NEMA SM 23 within rounding.",
        "For expander-compressors and machines sensitive to alignment ask the vendor.",
    ),
)
