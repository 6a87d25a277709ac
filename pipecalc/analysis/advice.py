"""What would bring a failing item down, from numbers already computed."""

from collections.abc import Iterable, Iterator

from pipecalc.analysis.legs import HandLine
from pipecalc.results import Advice, Loop


def advice(by_hand: Iterable[HandLine]) -> Iterator[Advice]:
    """Legs that fall short, and the loop that would do instead, worst first."""
    found = [item for hand in by_hand for item in _of_line(hand)]
    yield from sorted(found, key=lambda item: -item.gain)


def _of_line(hand: HandLine) -> Iterator[Advice]:
    for leg in hand.legs:
        if leg.ratio > 1:
            yield Advice(
                f"{leg.line}, leg {leg.from_} to {leg.to}",
                f"The leg absorbs {leg.absorbs * 1000:.1f} mm towards {leg.direction} and needs "
                f"{leg.length_needed:.2f} m by the guided cantilever method; it has {leg.length:.2f} m.",
                leg.ratio,
                "Segments",
                leg.rows[0],
            )
    for loop in hand.loops:
        yield Advice(f"{loop.line}, {loop.from_} to {loop.to}", _loop_words(loop), 0.0)


def _loop_words(loop: Loop) -> str:
    return (
        f"A U loop with legs of {loop.height:.2f} m, {loop.width:.2f} m apart, would take the growth of "
        f"{loop.growth * 1000:.1f} mm towards {loop.direction}."
    )
