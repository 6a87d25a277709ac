"""Springs without a rate are designed: size, rate, cold load and variation, or a constant-load support instead.

The rule, in order (travel and reserve: common practice; variation: MSS SP-58):

1. Travel of more than 75 mm asks for a constant-load support.
2. A size fits if travel and reserve (a fifth of the travel, at least 25 mm, both ends together) go into its working
   travel, and hot and cold loads, in every thermal state, stay clear of its range's ends by half the reserve.
3. Its load variation between cold and hot keeps the project's limit.
4. Of the sizes left the one of the shortest working travel is taken, then the smallest.

Where none is left, a constant-load support is taken and the limit that failed is named.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import inf, isfinite, nan

from pipecalc import tables
from pipecalc.analysis.frame import StaticRun
from pipecalc.calc.spring import largest_rate, spring_cold_load, spring_variation
from pipecalc.model import Plant, Support
from pipecalc.problems import Problem, error, warning
from pipecalc.results import Check, SpringResult, Status, status_of

VARIATION_CHECK = "spring variation"
VARIATION_CLAUSE = "MSS SP-58, variable spring hangers; the project's limit on the load variation"
TRAVEL_OF_CONSTANT = 0.075  # m, common practice 50 to 75 mm
RESERVE_SHARE = 0.2
LEAST_RESERVE = 0.025  # m, both ends together
SPRING, CONSTANT, NONE = "spring", "constant load", "none"
TEST_LOCK = "locked by its stop in the pressure test; the stop is drawn before start-up"


@dataclass(frozen=True, slots=True)
class SpringSize:
    """One size of a spring table: its working range and travel.

    Attributes:
        least: Load at the loose end of the working range [N].
        most: Load at the tight end [N].
        travel: Working travel between the two [m].
        source: Document of the numbers.
    """

    name: str
    least: float
    most: float
    travel: float
    source: str

    @property
    def rate(self) -> float:
        """[N/m]."""
        return (self.most - self.least) / self.travel


@dataclass(frozen=True, slots=True)
class SpringChoice:
    """What was chosen for one spring, or why nothing was.

    Attributes:
        kind: ``"spring"``, ``"constant load"`` or ``"none"``.
        size: The size taken, None for a constant-load support.
        hot_load: [N].
        cold_load: [N].
        travel: Upward, cold to hot [m].
        rate: [N/m]; 0 for a constant-load support.
        variation: Share of the hot load; NaN without a hot load.
        reason: Which limit decided.
        designed: False where the workbook gave the rate.
        failed: What rules a spring out: demand, limit and their SI unit; None where a spring does.
    """

    support: str
    kind: str
    size: SpringSize | None
    hot_load: float
    cold_load: float
    travel: float
    rate: float
    variation: float
    reason: str
    designed: bool
    failed: tuple[float, float, str] | None = None


@cache
def generic_sizes() -> tuple[SpringSize, ...]:
    """The built-in table: a stated rule, not a maker's products."""
    rows = tables.load("springs_generic").rows
    number = tables.number
    return tuple(
        SpringSize(
            row["size"],
            1e3 * number(row["least load [kN]"]),
            1e3 * number(row["most load [kN]"]),
            1e-3 * number(row["working travel [mm]"]),
            row["source"],
        )
        for row in rows
    )


def sizes_of(rows: Iterable[Mapping[str, object]]) -> tuple[SpringSize, ...]:
    """The user's own table.

    Args:
        rows: Values in SI under ``size``, ``least_load``, ``most_load``, ``travel`` and ``source``.
    """
    return tuple(
        SpringSize(
            str(row["size"]),
            float(str(row["least_load"])),
            float(str(row["most_load"])),
            float(str(row["travel"])),
            str(row.get("source") or ""),
        )
        for row in rows
    )


def size_problems(sizes: Iterable[SpringSize], plant: Plant) -> Iterator[Problem]:
    """Sizes of the user's table that no spring can have."""
    for size in sizes:
        if not (0 <= size.least < size.most and size.travel > 0):
            yield error(
                "spring-size",
                plant.project.source,
                f"spring size {size.name}: {size.least:g} to {size.most:g} N over {1e3 * size.travel:g} mm is no range",
                "most load above least load, working travel above zero",
            )


def reserve(travel: float) -> float:
    """Working travel to keep free, both ends together [m]; common practice."""
    return max(RESERVE_SHARE * abs(travel), LEAST_RESERVE)


def fits(size: SpringSize, hot_load: float, travel: float, others: Sequence[float] = ()) -> bool:
    """Whether loads in all states stay inside a size's working range, with reserve.

    Args:
        size: The size.
        hot_load: [N].
        travel: From cold to hot, upward [m].
        others: Travels from cold to the other thermal states [m].
    """
    travels = (0.0, travel, *others)
    widest = max(travels) - min(travels)
    if widest + reserve(widest) > size.travel:
        return False
    cold = spring_cold_load(hot_load, size.rate, travel)
    margin = size.rate * reserve(widest) / 2.0
    loads = [cold - size.rate * at for at in travels]
    return min(loads) >= size.least + margin and max(loads) <= size.most - margin


def choose(
    support: str,
    hot_load: float,
    travel: float,
    limit: float,
    sizes: Sequence[SpringSize] | None = None,
    others: Sequence[float] = (),
) -> SpringChoice:
    """The spring for a hot load and travel.

    Args:
        support: Tag.
        hot_load: Load to balance in operation [N].
        travel: From cold to hot, upward [m].
        limit: Largest load variation as a share.
        sizes: Table of sizes; the built-in one where None.
        others: Travels from cold to the other thermal states [m].

    Returns:
        A spring, a constant-load support with the limit that failed, or nothing with the reason.
    """
    if not (isfinite(hot_load) and isfinite(travel)):
        return _nothing(support, hot_load, travel, "its load or travel could not be found")
    if hot_load <= 0:
        words = f"the weight balance asks it to hold the pipe down with {-hot_load:.0f} N; a spring only carries"
        return _nothing(support, hot_load, travel, words)
    if abs(travel) > TRAVEL_OF_CONSTANT:
        words = f"travel of {1e3 * abs(travel):.1f} mm is over {1e3 * TRAVEL_OF_CONSTANT:.0f} mm"
        return _constant(support, hot_load, travel, words, (abs(travel), TRAVEL_OF_CONSTANT, "m"))
    table = generic_sizes() if sizes is None else tuple(sizes)
    fitting = [size for size in table if fits(size, hot_load, travel, others)]
    steady = [size for size in fitting if spring_variation(hot_load, size.rate, travel) <= limit]
    if not steady:
        return _constant(support, hot_load, travel, *_failed(table, fitting, hot_load, travel, limit))
    size = min(steady, key=lambda s: (s.travel, s.most, s.name))
    return SpringChoice(
        support,
        SPRING,
        size,
        hot_load,
        spring_cold_load(hot_load, size.rate, travel),
        travel,
        size.rate,
        spring_variation(hot_load, size.rate, travel),
        f"size {size.name}",
        designed=True,
    )


def _failed(
    table: Sequence[SpringSize], fitting: Sequence[SpringSize], hot_load: float, travel: float, limit: float
) -> tuple[str, tuple[float, float, str]]:
    """The limit that left no size: in words, and as demand, limit and unit."""
    if fitting:
        least = min(float(spring_variation(hot_load, size.rate, travel)) for size in fitting)
        words = f"the least load variation of the sizes that fit is {least:.1%}, over the limit of {limit:.0%}"
        return words, (least, limit, "1")
    largest = max((size.most for size in table), default=0.0)
    if hot_load > largest:
        words = f"the hot load of {hot_load:.0f} N is over the largest of the table, {largest:.0f} N"
        return words, (hot_load, largest, "N")
    needed, longest = abs(travel) + reserve(travel), max(size.travel for size in table)
    words = f"no size carries {hot_load:.0f} N with a working travel of {1e3 * needed:.0f} mm, reserve included"
    return words, (needed, longest, "m") if needed > longest else (nan, nan, "N")


def _constant(support: str, hot_load: float, travel: float, why: str, failed: tuple[float, float, str]) -> SpringChoice:
    words = f"{why}: a constant-load support is needed"
    return SpringChoice(support, CONSTANT, None, hot_load, hot_load, travel, 0.0, 0.0, words, True, failed)


def _nothing(support: str, hot_load: float, travel: float, why: str) -> SpringChoice:
    return SpringChoice(support, NONE, None, hot_load, nan, travel, nan, nan, why, designed=True)


def to_be_designed(support: Support) -> bool:
    """Whether a support is a spring whose rate is left open."""
    return support.type == "spring" and support.spring_rate is None


def spring_choices(
    plant: Plant,
    run: StaticRun,
    sizes: Sequence[SpringSize] | None = None,
    others: Mapping[str, Sequence[float]] | None = None,
) -> tuple[SpringChoice, ...]:
    """What every spring and constant-load support is or becomes, in workbook order.

    Args:
        plant: The plant as read.
        run: Its frame solved, springs without a rate taken as constant loads: their hot loads and travels.
        sizes: The user's table; the built-in one where None.
        others: Travels from cold to the other thermal states [m] by support, see :func:`travels_of`.
    """
    found = []
    for name, hot_load in run.hot_load.items():
        support, travel = plant.supports[name], run.travel.get(name, nan)
        if to_be_designed(support):
            limit = plant.project.limit_spring_variation
            found.append(choose(name, hot_load, travel, limit, sizes, (others or {}).get(name, ())))
        else:
            found.append(_given(support, hot_load, travel))
    return tuple(found)


def _given(support: Support, hot_load: float, travel: float) -> SpringChoice:
    rate = 0.0 if support.type == CONSTANT else float(support.spring_rate or 0.0)
    cold = spring_cold_load(hot_load, rate, travel)
    variation = spring_variation(hot_load, rate, travel)
    return SpringChoice(
        support.name, support.type, None, hot_load, cold, travel, rate, variation, "as given", designed=False
    )


def travels_of(plant: Plant, run: StaticRun) -> dict[str, tuple[float, ...]]:
    """Travels of every spring from where it was installed to every thermal state [m].

    They are read from the pipe's movement in the solved states; one that is not solved gives infinity, which no spring
    fits.
    """
    found: dict[str, list[float]] = {name: [] for name in run.hot_load}
    for state in plant.states:
        solved = run.by_state[state.name]
        number = next(n for n, case in enumerate(solved.cases) if case.thermal and case.state.name == state.name)
        for name in found:
            node = run.net.node_of[plant.supports[name].point]
            up = float(solved.solution.movements[node, 2, number])
            found[name].append(up if bool(solved.solution.settled[number]) else inf)
    return {name: tuple(values) for name, values in found.items()}


def with_designed_springs(
    plant: Plant, run: StaticRun, sizes: Sequence[SpringSize] | None = None
) -> tuple[Plant, tuple[SpringChoice, ...]]:
    """The plant with its springs as designed, to be solved again.

    Args:
        plant: The plant as read.
        run: Its frame solved.
        sizes: The user's table; the built-in one where None.

    Returns:
        The plant, the same object where nothing was to be designed, and what was chosen. A spring that cannot be
        designed stays as it is and its check is NOT CHECKED.
    """
    choices = spring_choices(plant, run, sizes, travels_of(plant, run))
    changed = {c.support: _built(plant.supports[c.support], c) for c in choices if c.designed and c.kind != NONE}
    if not changed:
        return plant, choices
    return replace(plant, supports={**plant.supports, **changed}), choices


def _built(support: Support, choice: SpringChoice) -> Support:
    rate = choice.rate if choice.kind == SPRING else None
    return replace(support, type=choice.kind, spring_rate=rate, spring_load=choice.hot_load)


def spring_results(choices: Iterable[SpringChoice]) -> tuple[SpringResult, ...]:
    """The choices as result records; the kind of a designed spring names its size."""
    return tuple(
        SpringResult(c.support, _kind(c), c.hot_load, c.cold_load, c.travel, c.rate, c.variation) for c in choices
    )


def _kind(choice: SpringChoice) -> str:
    if not choice.designed:
        return choice.kind
    if choice.kind == NONE:
        return "spring, not designed"
    return f"{choice.kind}, {choice.size.name}" if choice.size else f"{choice.kind}, designed"


def spring_checks(plant: Plant, choices: Iterable[SpringChoice]) -> Iterator[Check]:
    """Variation of every spring against the project's limit; a spring that could not be designed is not checked.

    Args:
        plant: The plant as read.
        choices: What its springs are or became.
    """
    for choice in choices:
        support = plant.supports[choice.support]
        if choice.kind == CONSTANT and not choice.designed:
            continue
        yield _variation_check(plant, support, choice)


def _variation_check(plant: Plant, support: Support, choice: SpringChoice) -> Check:
    demand, limit, unit = choice.failed or (choice.variation, plant.project.limit_spring_variation, "1")
    status, reason = status_of(demand, limit), choice.reason
    if choice.failed is None and status is Status.FAIL:
        rate = largest_rate(choice.hot_load, limit, abs(choice.travel))
        reason = f"{demand:.1%} is over {limit:.0%}: a rate of at most {rate:.0f} N/m, or a constant-load support"
    return Check(
        check=VARIATION_CHECK,
        subject=support.name,
        line=support.point[0],
        point=support.point[1],
        case="installed to operating",
        demand=demand,
        limit=limit,
        unit=unit,
        ratio=demand / limit if limit > 0 else nan,
        status=status,
        clause=VARIATION_CLAUSE,
        reason=f"{reason}; {TEST_LOCK}",
        inputs=_numbers(choice),
        source=support.source,
    )


def _numbers(choice: SpringChoice) -> dict[str, float | str]:
    numbers: dict[str, float | str] = {
        "F_h": choice.hot_load,
        "F_c": choice.cold_load,
        "delta": choice.travel,
        "k": choice.rate,
        "V": choice.variation,
    }
    if choice.size is not None:
        numbers |= {
            "size": choice.size.name,
            "least load": choice.size.least,
            "most load": choice.size.most,
            "working travel": choice.size.travel,
        }
    return numbers


def spring_problems(plant: Plant, choices: Iterable[SpringChoice]) -> Iterator[Problem]:
    """Springs that could not be designed as springs, with the limit that failed."""
    for choice in choices:
        if choice.designed and choice.kind != SPRING:
            support = plant.supports[choice.support]
            accepted = 'Type "constant load"' if choice.kind == CONSTANT else "a rest, or another place"
            found = f"spring {support.name}: {choice.reason}"
            yield warning("spring-impossible", support.source, found, accepted)
