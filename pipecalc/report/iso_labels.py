"""The words of an isometric sheet: tags, names, values and remarks, before they have a place."""

from collections.abc import Container, Iterable, Iterator, Mapping

from pipecalc.model import Nozzle, Support
from pipecalc.report.format import Display
from pipecalc.report.iso_sheet import Cut, Sheet
from pipecalc.report.labels import Board, Box, Placed, Wanted, text_size, wrapped
from pipecalc.report.projection import Key
from pipecalc.report.svg import ACCENT, INK, QUIET

_REMARK_SIZE = 2.1
_CORNER = (1.0, 1.0)


Line = tuple[str, str]  # words and colour


def nozzle_tags(sheet: Sheet, nozzles: Iterable[Nozzle], further: Mapping[Key, list[Line]]) -> Iterator[Wanted]:
    """Names of nozzles with the point that connects; of two at one point the first tells what else stands there."""
    told: set[Key] = set()
    for n in nozzles:
        if n.point is not None:
            more = [] if n.point in told else further.get(n.point, [])
            told.add(n.point)
            yield _wanted([(f"{n.name} ({n.point[1]})", INK), *more], sheet, n.point, 2.6, bold=True, clear=2.4)


def values(sheet: Sheet, words: Mapping[str, str]) -> Iterator[Wanted]:
    """Words of an overlay at their points, the point's name in front."""
    for key in sheet.layout.at:
        if key[1] in words:
            yield _wanted([(f"{key[1]}: {words[key[1]]}", INK)], sheet, key, 2.3, bold=True, clear=1.6)


def point_names(sheet: Sheet, taken: Container[Key], further: Mapping[Key, list[Line]]) -> Iterator[Wanted]:
    """Names of points with what else is told of them; of those that another label names only the rest."""
    for key in sheet.layout.at:
        name = key[1] if key[0] == sheet.segments[0].line else "/".join(key)
        lines = further.get(key, []) if key in taken else [(name, INK), *further.get(key, [])]
        if lines:
            yield _wanted(lines, sheet, key, 2.2, clear=1.1)


def told_of_points(supports: Iterable[Support], levels: Mapping[Key, str]) -> dict[Key, list[Line]]:
    """What stands below the name of a point: its supports and its elevation."""
    found: dict[Key, list[Line]] = {}
    for s in supports:
        found.setdefault(s.point, []).append((s.name, ACCENT))
    for key, words in levels.items():
        found.setdefault(key, []).append((words, QUIET))
    return found


def _wanted(
    lines: list[Line], sheet: Sheet, key: Key, size: float, *, bold: bool = False, clear: float = 1.2
) -> Wanted:
    """A label at a point; lines too long are set in several."""
    parts = [(part, tint) for words, tint in lines for part in wrapped(words, size, bold).split("\n")]
    return Wanted(
        "\n".join(part for part, _tint in parts),
        sheet.at(key),
        size,
        bold,
        clear,
        about=" ".join(words for words, _tint in lines),
        tints=tuple(tint for _part, tint in parts),
    )


def write_remarks(sheet: Sheet, board: Board, cut: Cut, display: Display, *, plain: bool) -> Placed:
    """Write in the corner of the sheet what it is and how its lengths are to be read."""
    said = [f"Sheet {cut.number} of {cut.count}"] if cut.count > 1 else []
    said.append("Lengths to scale" if sheet.layout.to_scale else "Not to scale")
    if plain:
        said.append(f"Dimensions in {display.unit('dimension')}, elevations (EL) in {display.unit('coordinate')}")
    words = wrapped(". ".join(said), _REMARK_SIZE, most=sheet.drawing.width - 3.0)
    left, top = _CORNER
    width, height = text_size(words, _REMARK_SIZE)
    label = Wanted(words, _CORNER, _REMARK_SIZE, colour=QUIET)
    placed = Placed(label, Box(left, top, left + width, top + height), leader=False)
    placed.write(sheet.drawing)
    board.block(placed.box.grown(0.3))
    return placed
