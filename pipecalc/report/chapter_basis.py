"""The basis: code, units, cases, every property value used with its source, vendor documents, assumptions."""

from collections.abc import Iterator, Sequence
from typing import Any

from pipecalc.model import Plant, Project
from pipecalc.report import format as fmt
from pipecalc.report.format import Display
from pipecalc.report.parts import Sheets, Table, numeric, text, without_empty
from pipecalc.results import Assumption, PropertyUse

FROM_MEMORY = "from memory: verify against the code edition of record"
_CONFIDENCE = {
    "confirmed": "confirmed",
    "user": "given in the workbook",
    "conflict": "sources differ",
    "memory": FROM_MEMORY,
}
_QUANTITY = {"modulus": "modulus", "total strain": "strain", "allowable stress": "stress", "yield": "stress"}


def chapter(sheets: Sheets) -> dict[str, Any]:
    """Content of the basis chapter."""
    p, display = sheets.plant.project, sheets.display
    sources = tuple(dict.fromkeys(u.source for u in sheets.results.properties))
    return {
        "facts": list(_facts(p, display)),
        "cases": _cases(sheets),
        "states": _states(sheets),
        "properties": _properties(sheets, sources),
        "sources": [(str(i), s) for i, s in enumerate(sources, 1)],
        "any_from_memory": any(u.confidence == "memory" for u in sheets.results.properties),
        "from_memory": FROM_MEMORY,
        "allowables": _allowables(sheets),
        "assumptions": _assumptions(sheets),
        "axes": _AXES,
    }


_AXES = (
    "Axes are East, North, Up, right-handed. Loads are the pipe's action on the nozzle or support. Nozzle axes: R "
    "along the nozzle outward, L along the equipment's axis, C = R × L; moments follow the right-hand rule about them."
)


def _facts(p: Project, display: Display) -> Iterator[tuple[str, str]]:
    system = "SI (m, mm, N, N·m, MPa, barg, °C)" if p.units == "SI" else "US (ft, in, lbf, ft·lbf, ksi, psig, °F)"
    yield "Piping code", f"{p.code}, edition {p.edition}"
    yield "Units of this note", f"{system}; computed in SI, double precision"
    yield "Installation temperature", display.text("temperature", p.installation_temperature)
    yield "Stress intensification", p.intensification
    yield "Unused sustained margin", "credited (eq. 1b)" if p.use_sustained_margin else "not credited (eq. 1a)"
    yield "Modulus for reactions", f"at {p.modulus_for_reactions} temperature"
    yield "Elbow pressure stiffening", _yes(p.pressure_stiffening)
    yield "Shear deformation", _yes(p.shear_deformation)
    yield "Default elbow", p.elbow
    yield "Default friction", f"{p.friction:g}"
    yield "Stress cycles", f"{p.cycles:g}"
    yield "Limit, nozzle ratio", f"{p.limit_nozzle:g}"
    yield "Limit, sag", display.text("size", p.limit_sag)
    yield "Limit, spring load variation", display.text("share", p.limit_spring_variation)
    yield "Seismic, horizontal / vertical", f"{_or_none(p.seismic_horizontal)} / {_or_none(p.seismic_vertical)}"
    yield "Wind pressure, shape factor", _wind(p, display)
    if p.steel_density is not None:
        yield "Density of steel, override", display.text("density", p.steel_density)


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _or_none(value: float | None) -> str:
    return "none given" if value is None else f"{value:g}"


def _wind(p: Project, display: Display) -> str:
    if p.wind_pressure is None:
        return "none given"
    return f"{display.text('wind pressure', p.wind_pressure)}, {p.wind_shape_factor:g}"


def _cases(sheets: Sheets) -> Table | None:
    rows = [(c.case, c.kind, c.state, sheets.display.words(c.title)) for c in sheets.results.cases]
    columns = (text("Case", 18), text("Kind", 14), text("State", 16), text("What it is and why it was built", 60))
    return sheets.table("Load cases", columns, rows)


def _states(sheets: Sheets) -> Table | None:
    display = sheets.display
    rows = [
        (
            state.name,
            line,
            display.number("temperature", ls.temperature),
            display.number("pressure", ls.pressure),
            display.number("density", ls.density),
            f"{state.cycles:g}" if state.cycles is not None else fmt.NONE,
        )
        for state in sheets.plant.states
        for line, ls in state.lines.items()
    ]
    columns = (
        text("State", 24),
        text("Line", 24),
        numeric("Temperature", 14, display.unit("temperature")),
        numeric("Pressure", 14, display.unit("pressure")),
        numeric("Fluid density", 14, display.unit("density")),
        numeric("Cycles", 10),
    )
    return sheets.table("Thermal states of the lines", columns, rows)


def _properties(sheets: Sheets, sources: tuple[str, ...]) -> Table | None:
    """One row for the values of a property that share source and confidence."""
    display = sheets.display
    grouped: dict[tuple[str, str, str, str, str], list[PropertyUse]] = {}
    for u in sheets.results.properties:
        grouped.setdefault((u.material, u.property, u.unit, u.source, u.confidence), []).append(u)
    rows = [_property(uses, sources, display) for uses in grouped.values()]
    columns = (
        text("Material", 16),
        text("Property", 18),
        text(f"Values used, each at its temperature in {display.unit('temperature')}", 70),
        text("Source", 8),
        text("Confidence", 26),
    )
    return sheets.table("Every property value used", columns, rows)


def _property(uses: Sequence[PropertyUse], sources: tuple[str, ...], display: Display) -> tuple[str, ...]:
    first = uses[0]
    shown = [(display.number("temperature", u.temperature), *_value(u, display)) for u in uses]
    return (
        first.material,
        f"{first.property}, {shown[0][2]}" if shown[0][2] else first.property,
        "; ".join(f"{temperature}: {number}" for temperature, number, _unit in shown),
        f"[{sources.index(first.source) + 1}]",
        _CONFIDENCE.get(first.confidence, first.confidence),
    )


def _value(use: PropertyUse, display: Display) -> tuple[str, str]:
    quantity = _QUANTITY.get(use.property)
    if quantity is None:
        return display.by_unit(use.unit, use.value)
    return display.number(quantity, use.value), display.unit(quantity)


def _allowables(sheets: Sheets) -> Table | None:
    rows = [
        (name, ", ".join(_users(sheets.plant, name)) or fmt.NONE, row.rule, row.document or "no document named")
        for name, group in sheets.plant.allowables.items()
        for row in group
    ]
    columns = (text("Set", 18), text("Nozzles", 34), text("Rule", 22), text("Document", 44))
    return sheets.table("Nozzle allowables and where they come from", columns, dict.fromkeys(rows))


def _users(plant: Plant, name: str) -> list[str]:
    return [n.name for n in plant.nozzles.values() if name in n.sets]


def _assumptions(sheets: Sheets) -> Table | None:
    rows = [_assumption(a, sheets.display) for a in sheets.results.assumptions]
    columns = [text("What", 34), text("Taken", 26), text("Why", 46), text("Workbook", 18)]
    return sheets.table("Assumptions made where the workbook was silent", *without_empty(columns, rows))


def _assumption(a: Assumption, display: Display) -> list[str]:
    return [display.words(a.what), display.words(a.value), display.words(a.why), a.address]
