"""Materials of the plant: the library, with the user's rows laid over it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from pipecalc import tables
from pipecalc.calc.material import Curve, Material
from pipecalc.problems import Address, Problems, error
from pipecalc.workbook.rows import Book, Row

#: Mean coefficients of the Materials sheet count from here, as the column says [°C].
EXPANSION_REFERENCE = 20.0
#: The code whose allowable stresses the library holds; they are not those of any other.
LIBRARY_CODE = "ASME B31.3"
_POISSON = 0.3  # B31.3 319.3.3: 0.3 at all temperatures for all metals


@dataclass(frozen=True, slots=True)
class MaterialBook:
    """Finds materials by name, the user's first.

    Attributes:
        own: The user's materials and overrides, by lower-case name.
        density: Density that replaces every material's own [kg/m3], or None.
        code: Piping code of the project: the library's allowable stresses are those of one code only.
    """

    own: Mapping[str, Material]
    density: float | None = None
    code: str = LIBRARY_CODE

    def find(self, name: str) -> Material | None:
        """The material, or None where neither sheet nor library has it."""
        found = self.own.get(name.strip().lower()) or _library(name)
        if found is not None and self.density is not None:
            found = replace(found, density=self.density)
        if found is not None and self.code != LIBRARY_CODE and not _has_own_allowable(found):
            found = replace(found, allowable=None)
        return found


def _has_own_allowable(material: Material) -> bool:
    return material.allowable is not None and set(material.allowable.confidence) == {"user"}


def build_materials(
    book: Book, steel_density: float | None, problems: Problems, code: str = LIBRARY_CODE
) -> MaterialBook:
    """Materials of the Materials sheet, each complete, with problems where one is not."""
    grouped: dict[str, list[Row]] = defaultdict(list)
    for row in book.rows["Materials"]:
        if not row.bad:
            grouped[str(row["material"]).strip().lower()].append(row)
    own: dict[str, Material] = {}
    for key, rows in grouped.items():
        made = _own_material(rows, problems)
        if made is not None:
            own[key] = made
    return MaterialBook(own, steel_density, code)


def _library(name: str) -> Material | None:
    try:
        return tables.material(name)
    except LookupError:
        return None


def _own_material(rows: list[Row], problems: Problems) -> Material | None:
    name = str(rows[0]["material"])
    base = _library(name)
    curves = {key: _curve(rows, key) for key in ("modulus", "allowable", "yield_strength")}
    expansion = _expansion(rows)
    if base is None:
        return _new_material(name, rows, curves, expansion, problems)
    return replace(
        base,
        density=_density(rows) or base.density,
        modulus=curves["modulus"] or base.modulus,
        expansion=expansion or base.expansion,
        expansion_reference=EXPANSION_REFERENCE if expansion else base.expansion_reference,
        allowable=curves["allowable"] or base.allowable,
        yield_strength=curves["yield_strength"] or base.yield_strength,
        user_defined=True,
    )


def _new_material(
    name: str,
    rows: list[Row],
    curves: Mapping[str, Curve | None],
    expansion: Curve | None,
    problems: Problems,
) -> Material | None:
    density = _density(rows)
    missing = [
        title
        for title, given in (
            ("Elastic modulus", curves["modulus"]),
            ("Mean expansion", expansion),
            ("Density", density),
        )
        if not given
    ]
    if missing or curves["modulus"] is None or expansion is None or density is None:
        problems.add(
            error(
                "material-incomplete",
                rows[0].address("material"),
                f"material {name!r} is not in the library and its rows give no {', '.join(missing)}",
                "a library name, or rows with modulus, expansion and density",
            )
        )
        return None
    return Material(
        name=name,
        title=f"{name} (Materials sheet)",
        density=density,
        poisson=_POISSON,
        modulus=curves["modulus"],
        expansion=expansion,
        expansion_reference=EXPANSION_REFERENCE,
        allowable=curves["allowable"],
        yield_strength=curves["yield_strength"],
        minimum_yield=float("nan"),
        tensile_strength=float("nan"),
        min_temperature=float("nan"),
        family="other ductile",
        flange_group="",
        note="",
        user_defined=True,
        source=str(rows[0]["source"]),
        confidence="user",
    )


def _density(rows: Iterable[Row]) -> float | None:
    return next((float(row["density"]) for row in rows if row["density"] is not None), None)


def _curve(rows: list[Row], key: str) -> Curve | None:
    given = sorted((row for row in rows if row[key] is not None), key=lambda row: float(row["temperature"]))
    if not given:
        return None
    return _as_curve(given, [float(row[key]) for row in given])


def _expansion(rows: list[Row]) -> Curve | None:
    """Total strain from the reference temperature; the reference itself is a point of the curve."""
    given = [row for row in rows if row["expansion"] is not None]
    if not given:
        return None
    points = {float(row["temperature"]): row for row in given}
    strains = {t: float(row["expansion"]) * (t - EXPANSION_REFERENCE) for t, row in points.items()}
    strains.setdefault(EXPANSION_REFERENCE, 0.0)
    temperatures = sorted(strains)
    nearest = [min(points, key=lambda at, t=t: abs(at - t)) for t in temperatures]  # type: ignore[misc]
    return _as_curve([points[t] for t in nearest], [strains[t] for t in temperatures], temperatures)


def _as_curve(rows: list[Row], values: list[float], temperatures: list[float] | None = None) -> Curve:
    at = temperatures if temperatures is not None else [float(row["temperature"]) for row in rows]
    return Curve(
        temperature=np.array(at, dtype=float),
        value=np.array(values, dtype=float),
        source=tuple(f"{row['source']} ({row.address()})" for row in rows),
        confidence=("user",) * len(rows),
    )


def table_range(curve: Curve | None) -> str:
    """The temperatures a curve covers, in words."""
    if curve is None:
        return "no values at all"
    return f"{curve.temperature[0]:.0f} to {curve.temperature[-1]:.0f} °C"


def outside_table(
    what: str,
    material: Material,
    temperature: float,
    curve: Curve | None,
    address: Address,
    problems: Problems,
) -> None:
    """Report a temperature that a property's table does not cover."""
    problems.add(
        error(
            "temperature-outside-table",
            address,
            f"{what} of {material.name} at {temperature:g} °C is outside its table",
            table_range(curve),
            "nothing is extrapolated; give the material's own values on the Materials sheet",
        )
    )
