"""What stands in the way of the frame's results, each with the row that mends it."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from math import isinf

import numpy as np

from pipecalc.analysis.chains import axis_name
from pipecalc.analysis.frame import FrameRun, Official
from pipecalc.analysis.frame_nodes import Key, Net
from pipecalc.analysis.nozzle_stiffness import nozzle_stiffness
from pipecalc.calc.frame import Array
from pipecalc.calc.mechanism import Mechanism
from pipecalc.model import Plant
from pipecalc.problems import Problem, error, warning


def frame_problems(run: FrameRun, plant: Plant) -> Iterator[Problem]:
    """Lines free to move, cases that could not be used, and what was taken in another way than typed."""
    free = list(_free_lines(run, plant))
    yield from free
    if not free:
        yield from _unused_cases(run, plant)
        yield from _springs(run, plant)
    yield from _idle_supports(plant)
    yield from _joined_on_arcs(run.net)
    yield from _without_factor(run.net)


def _free_lines(run: FrameRun, plant: Plant) -> Iterator[Problem]:
    """One problem for every point and direction that is free, with the cases in which it is."""
    names = {node: key for key, node in run.net.node_of.items()}
    where: dict[tuple[Key, str], list[str]] = defaultdict(list)
    for official in run.official:
        for free in official.solved.solution.mechanisms:
            if official.number in free.cases:
                where[_nearest_point(free, names, run.net), _way(free)].append(official.case.name)
    for ((line, point), way), cases in where.items():
        always = len(cases) == len(run.official)
        when = "" if always else f" in {cases[0]}" if len(cases) == 1 else f" in {cases[0]} and {len(cases) - 1} more"
        yield error(
            "line-free",
            plant.lines[line].source,
            f"line {line} is not held: point {point} is free to {way}{when}",
            "a nozzle, an anchor, or guides, stops and rests that hold every direction",
        )


def _way(free: Mechanism) -> str:
    way = axis_name(_positive(free.direction))
    return f"turn about {way}" if free.rotational else f"move towards {way}"


def _positive(direction: Array) -> Array:
    """The same line of movement, named by its main positive sense."""
    return direction if direction[np.argmax(np.abs(direction))] > 0 else -direction


def _nearest_point(free: Mechanism, names: Mapping[int, Key], net: Net) -> Key:
    """The point nearest to the node that moves most, of those that move with it; lines may cross without touching."""
    moving = [int(node) for node in free.nodes if int(node) in names] or list(names)
    return names[min(moving, key=lambda other: float(np.linalg.norm(net.at[other] - net.at[free.node])))]


def _unused_cases(run: FrameRun, plant: Plant) -> Iterator[Problem]:
    if not run.springs_settled:
        name = next(iter(run.hot_load))
        yield warning(
            "springs-unsettled",
            plant.supports[name].source,
            f"the loads of springs ({', '.join(run.hot_load)}) could not be found; no case is used: NOT CHECKED",
            "",
            "give every spring its hot load and rate, or remove gaps and friction beside them",
        )
        return
    for official in run.official:
        if not official.settled:
            yield _waiting(official, plant) if official.waits_for else _unsettled(official, plant)


def _waiting(official: Official, plant: Plant) -> Problem:
    return warning(
        "case-waits",
        plant.project.source,
        f"case {official.case.name!r} is left out: it builds on {official.waits_for!r}, which did not settle; "
        "its loads are NOT CHECKED",
    )


def _unsettled(official: Official, plant: Plant) -> Problem:
    name, contacts = official.case.name, official.solved.solution.contacts
    residual = contacts.residual[:, official.number]
    if contacts.settled[official.number] or not np.isfinite(residual).any():
        return warning(
            "case-unsolved",
            plant.project.source,
            f"case {name!r} could not be solved to the accuracy asked for; its loads are NOT CHECKED",
            "",
            "look for very short runs or very large stiffnesses",
        )
    worst = int(np.nanargmax(residual))
    support = plant.supports[official.solved.touches[worst].support]
    return warning(
        "supports-unsettled",
        support.source,
        f"case {name!r}: the supports did not settle; support {support.name} has a residual of "
        f"{residual[worst]:.1e}; loads of this case are NOT CHECKED",
        "",
        "remove a gap or friction there, or give the support a stiffness",
    )


def _springs(run: FrameRun, plant: Plant) -> Iterator[Problem]:
    """A spring can only carry: one that the balance leaves without load is no support there."""
    for name, load in run.hot_load.items():
        if load <= 0.0:
            yield warning(
                "spring-without-load",
                plant.supports[name].source,
                f"spring {name} has no weight to carry: {load / 1000:.2f} kN balances the line there",
                "",
                "move or remove the spring, or give its hot load",
            )


def _idle_supports(plant: Plant) -> Iterator[Problem]:
    """A support where a nozzle or anchor already holds the point takes nothing."""
    held = {
        nozzle.point: f"nozzle {nozzle.name}"
        for nozzle in plant.nozzles.values()
        if nozzle.point is not None and isinf(nozzle_stiffness(nozzle, plant).radial)
    }
    held |= {s.point: f"anchor {s.name}" for s in plant.supports.values() if s.type == "anchor" and s.stiffness is None}
    for support in plant.supports.values():
        if support.type != "anchor" and support.point in held:
            yield warning(
                "support-idle",
                support.source,
                f"support {support.name} takes no load: {held[support.point]} already holds point "
                f"{'/'.join(support.point)} in every direction",
                "",
                "another point, or no support there",
            )


def _joined_on_arcs(net: Net) -> Iterator[Problem]:
    for segment in net.joined_on_arc:
        yield warning(
            "joined-on-turn",
            segment.source,
            f"{segment.line}/{segment.start} to {segment.end} joins another line where that line turns; it is joined "
            "to the middle of the arc",
            "",
            "a point beside the turn where the branch really joins",
        )


def _without_factor(net: Net) -> Iterator[Problem]:
    for segment in net.without_factor:
        yield warning(
            "flexibility-unknown",
            segment.source,
            f"no rule gives a flexibility factor for the turn at {segment.line}/{segment.end}; it is taken as stiff as "
            "plain curved pipe, which overstates loads",
            "",
            "Own flexibility factor, or more cuts so that each turns by no more than 45°",
        )
