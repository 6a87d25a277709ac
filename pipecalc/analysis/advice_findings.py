"""What stands out without another run: unevenly loaded supports, unguided lengths, long spans, valves left hanging."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from pipecalc.analysis.frame_cases import SUSTAINED
from pipecalc.analysis.guide_spacing import GUIDE_CHECK
from pipecalc.analysis.span_runs import Span, spans
from pipecalc.analysis.spans import SPAN_CHECK
from pipecalc.analysis.words import Words
from pipecalc.model import Item, Plant, Segment
from pipecalc.results import Advice, Check, Results, Status

#: A support that takes more of its line's weight than this is named.
WEIGHT_SHARE = 0.4
#: A valve further than this from the next vertical support hangs; common practice [m].
VALVE_REACH = 1.5


def weight_advice(plant: Plant, results: Results) -> Iterator[Advice]:
    """Supports that take over 40 % of the weight of their line, cold."""
    carried, words = _carried(plant, results), Words(plant.project.units)
    totals: dict[str, float] = defaultdict(float)
    for (line, _), force in carried.items():
        totals[line] += force
    for (line, name), force in carried.items():
        share = force / totals[line] if totals[line] > 0 else 0.0
        if name in plant.supports and share > WEIGHT_SHARE:
            text = (
                f"{name} takes {words.force(force)}, {share:.0%} of the weight of {line} "
                f"({words.force(totals[line])}, cold): "
                "settlement or a wrong level there moves the weight onto the nozzles; share it with a further support."
            )
            yield Advice(f"support {name}", text, 0.0, "Supports", plant.supports[name].source.row, "Point")


def _carried(plant: Plant, results: Results) -> Mapping[tuple[str, str], float]:
    """Downward load by line and tag of support or nozzle, cold [N]; what pulls up counts as nothing."""
    found = {
        (plant.supports[load.support].point[0], load.support): max(-load.vertical, 0.0)
        for load in results.support_loads
        if load.case == SUSTAINED
    }
    for load in results.nozzle_loads:
        point = plant.nozzles[load.nozzle].point
        if load.case == SUSTAINED and load.method == "frame" and point is not None:
            found[point[0], load.nozzle] = max(-load.force[2], 0.0)
    return found


def length_advice(checks: Iterable[Check], words: Words) -> Iterator[Advice]:
    """Spans and unguided lengths over their limit, by how much."""
    for check in checks:
        if check.check in (SPAN_CHECK, GUIDE_CHECK) and check.status is Status.FAIL:
            what = "span" if check.check == SPAN_CHECK else "unguided length"
            text = (
                f"The {what} from {check.point} is {words.length(check.demand)}, {check.ratio:.2f} of the "
                f"{words.length(check.limit)} allowed ({check.reason}): "
                f"{'a support' if what == 'span' else 'a guide'} between them brings it within."
            )
            yield Advice(f"{check.line}, {check.point}", text, 0.0, "Segments", check.source.row)


def valve_advice(plant: Plant) -> Iterator[Advice]:
    """Valves with no vertical support within reach on either side."""
    words = Words(plant.project.units)
    for span in spans(plant):
        for segment, before, after in _valves(span):
            nearest = min(before, after if not span.overhangs else before)
            if nearest > VALVE_REACH:
                mass = words.mass(segment.mass) if segment.mass else "as heavy as its pipe, no mass is given"
                text = (
                    f"The valve from {segment.start} to {segment.end} ({mass}) hangs {words.length(before)} from "
                    f"{span.held_by[0]}"
                    f"{f' and {words.length(after)} from {span.held_by[1]}' if span.held_by[1] else ''}; a rest "
                    "beside it within "
                    f"{words.length(VALVE_REACH)} takes its weight off the span."
                )
                yield Advice(f"{segment.line}, valve {segment.start} to {segment.end}", text, 0.0, "Supports", 0)


def _valves(span: Span) -> Iterator[tuple[Segment, float, float]]:
    """Valves of a span with the lengths of pipe to its two supports [m]."""
    lengths = [segment.length for segment in span.segments]
    for n, segment in enumerate(span.segments):
        if segment.item is Item.VALVE:
            yield segment, sum(lengths[:n]), sum(lengths[n + 1 :])
