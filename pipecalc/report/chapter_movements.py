"""Equipment movements: a sketch of each item, and the sum for each nozzle written out term by term."""

from collections.abc import Iterator, Sequence
from typing import Any

from pipecalc.model import INSTALLED, Equipment, Plant
from pipecalc.report.equipment_sketch import equipment_sketch
from pipecalc.report.format import Display
from pipecalc.report.parts import Sheets, Table, numeric, text, triple
from pipecalc.results import Movement, MovementTerm

METHOD = (
    "Movement is the free growth of the item from its fixed point: each length multiplied by the strain of its own "
    "metal from the installation temperature to its own temperature; settlement and movements stated by the vendor "
    "are added as they are."
)


def chapter(sheets: Sheets) -> dict[str, Any] | None:
    """Content of the movements chapter; None where nothing was computed."""
    if not sheets.results.movements:
        return None
    return {
        "method": METHOD,
        "items": [i for i in (_item(sheets, e) for e in sheets.plant.equipment.values()) if i["table"] is not None],
        "supports": _table(
            sheets, "Movement of supports that equipment carries", list(sheets.results.support_movements)
        ),
    }


def _item(sheets: Sheets, item: Equipment) -> dict[str, Any]:
    nozzles = [n for n in sheets.plant.nozzles.values() if n.equipment == item.name]
    tags = {n.name for n in nozzles}
    moves = [m for m in sheets.results.movements if m.nozzle in tags and m.state != INSTALLED]
    sketch = equipment_sketch(item, nozzles, sheets.display)
    caption = f"{item.name}, {item.kind}; lengths along the axis to scale, diameter not"
    caption += f"; no room for the labels {', '.join(sketch.missing)}" if sketch.missing else ""
    return {
        "title": f"{item.name}, {item.kind}",
        "figure": sheets.figure(caption, sketch.svg, f"equipment-{item.name}"),
        "table": _table(sheets, f"Movement of the nozzles of {item.name}, term by term", moves),
        "facts": _facts(sheets.plant, item, sheets.display),
    }


def _facts(plant: Plant, item: Equipment, display: Display) -> list[tuple[str, str]]:
    installed = display.text("temperature", plant.project.installation_temperature)
    fixed = "skirt base" if "skirt" in item.kind else "lugs" if "lugs" in item.kind else "fixed saddle"
    facts = [("Fixed point", fixed if item.kind != "fixed" else "base"), ("Installed at", installed)]
    facts += [("Material", item.material.name), ("Temperature", display.text("temperature", item.temperature))]
    if item.support_temperature is not None:
        facts.append(("Support temperature", display.text("temperature", item.support_temperature)))
    if item.settlement:
        facts.append(("Settlement", display.text("movement", item.settlement)))
    return facts


def _table(sheets: Sheets, caption: str, moves: list[Movement]) -> Table | None:
    display = sheets.display
    rows: list[tuple[str, ...]] = []
    strong: list[int] = []
    for move, states in _alike(moves):
        rows += [(f"{move.nozzle}, {states}",), *(_term(term, display) for term in move.terms)]
        strong.append(len(rows))
        rows.append(("Sum", "", "", display.triple("movement", move.vector)))
    columns = (
        text("Term", 56),
        numeric("Temperature", 16, display.unit("temperature")),
        numeric("Length × strain", 26, f"{display.unit('length')} × {display.unit('strain')}"),
        triple("East / North / Up", 40, display.unit("movement")),
    )
    return sheets.table(caption, columns, rows, strong)


def _alike(moves: Sequence[Movement]) -> Iterator[tuple[Movement, str]]:
    """Movements of a nozzle that are term by term the same, once, with the names of their states."""
    grouped: dict[tuple[str, tuple[MovementTerm, ...]], list[Movement]] = {}
    for move in moves:
        grouped.setdefault((move.nozzle, move.terms), []).append(move)
    for same in grouped.values():
        yield same[0], "; ".join(m.state for m in same)


def _term(term: MovementTerm, display: Display) -> tuple[str, ...]:
    grows = term.length != 0 or term.expansion != 0
    product = f"{display.number('length', term.length)} × {display.number('strain', term.expansion)}"
    return (
        display.words(term.what),
        display.number("temperature", term.temperature) if term.temperature is not None else "",
        product if grows else "as given",
        display.triple("movement", (term.east, term.north, term.up)),
    )
