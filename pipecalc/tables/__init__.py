"""Reference tables: one CSV file each, read once, and the material library made from them.

Every row carries its source and a confidence word: "confirmed" (the number agrees with an independent public
text), "conflict" (published sets differ, the note says how) or "memory" (from memory, verify against the
edition of record). Printed units stay in the files, named in brackets in the column titles; conversion to SI
is done here.
"""

import csv
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import cast

import numpy as np
from numpy.typing import NDArray

from pipecalc.calc.interpolation import interpolate
from pipecalc.calc.material import Curve, Family, Material

__all__ = [
    "Table",
    "UnknownNameError",
    "elbow_radius",
    "expansion_curve",
    "interpolate",
    "load",
    "material",
    "material_names",
    "names",
    "nearest_material",
]

CONFIDENCE_WORDS = ("confirmed", "conflict", "memory")

KSI = 6.894757293168e6  # Pa
IN_PER_100_FT = 1.0 / 1200.0  # m/m
INCH = 0.0254  # m

_FOLDER = Path(__file__).parent
_MATERIALS = "materials_asme_b31_3"
_MODULUS = "modulus_asme_ii_d_2007"
_EXPANSION = "expansion_asme_ii_d_2007"
_ALLOWABLE = "allowable_stress_asme_b31_3_2012"
_ELBOWS = "elbows_asme_b16_9"
_ELBOW_RULE = {"long radius": 1.5, "short radius": 1.0}
_MILLIMETRE_ROUNDING = 0.6e-3  # m, a dimension printed in whole millimetres
_OLD_EXPANSION = "C-1 before 2010"


class UnknownNameError(LookupError):
    """A table or material that does not exist; the message names the nearest ones."""


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """A table as read from its file.

    Attributes:
        name: File name without the ending.
        columns: Column titles in order.
        rows: Rows as texts by column title, read-only.
    """

    name: str
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, str], ...]

    def texts(self, column: str) -> tuple[str, ...]:
        """One column as texts."""
        return tuple(row[column] for row in self.rows)

    def numbers(self, column: str) -> NDArray[np.float64]:
        """One column as numbers in the printed unit, shape (rows,), read-only; empty cells are NaN."""
        values = np.array([number(row[column]) for row in self.rows], dtype=float)
        values.setflags(write=False)
        return values

    def where(self, column: str, *accepted: str) -> "Table":
        """The rows whose cell in a column is one of the accepted texts."""
        return Table(self.name, self.columns, tuple(r for r in self.rows if r[column] in accepted))


def number(cell: str) -> float:
    """A cell as a number in its printed unit; NaN if empty."""
    return float(cell) if cell else float("nan")


@cache
def load(name: str) -> Table:
    """Read a table, once per process.

    Args:
        name: File name without the ending, such as ``elbows_asme_b16_9``.

    Returns:
        The table, read-only.

    Raises:
        UnknownNameError: There is no such table.
    """
    if name not in names():
        raise UnknownNameError(f"no table {name!r}; nearest: {', '.join(get_close_matches(name, names()))}")
    with (_FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file, strict=True)
        rows = tuple(MappingProxyType(row) for row in reader)
    return Table(name, tuple(reader.fieldnames or ()), rows)


@cache
def names() -> tuple[str, ...]:
    """Names of all tables, sorted."""
    return tuple(sorted(file.stem for file in _FOLDER.glob("*.csv")))


@cache
def material_names() -> tuple[str, ...]:
    """Names of the library's materials as they are offered in the workbook."""
    return load(_MATERIALS).texts("material")


def material(name: str) -> Material:
    """A material of the library.

    Args:
        name: Its name in any usual spelling: ``A106 B``, ``a106 gr.b``, ``ASTM A106 Grade B``, ``SA-106 B``.

    Returns:
        The material with its default property lines.

    Raises:
        UnknownNameError: Not in the library; the message names the nearest materials.
    """
    found = _by_spelling().get(_spelling(name))
    if found is None:
        near = ", ".join(nearest_material(name)) or "none"
        raise UnknownNameError(f"no material {name!r} in the library; nearest: {near}")
    return _material(found)


def nearest_material(name: str, count: int = 3) -> tuple[str, ...]:
    """Library names closest to what was typed, nearest first, each once."""
    spellings = _by_spelling()
    close = get_close_matches(_spelling(name), spellings, n=3 * count, cutoff=0.5)
    return tuple(dict.fromkeys(spellings[s] for s in close))[:count]


def elbow_radius(kind: str, nps: float | None, outside_diameter: float) -> float:
    """Bend radius of a standard butt-welding elbow.

    Long radius is 1.5 and short radius 1.0 times NPS in inches, exactly; the standard's millimetres are these
    rounded. Long radius elbows of NPS 1/2 and 3/4 are longer than the rule and are taken from the table.

    Args:
        kind: "long radius" or "short radius".
        nps: Nominal pipe size; None for a pipe given by its diameter: then the size of that diameter, or, if no
            size has it, the diameter itself stands for NPS in inches.
        outside_diameter: Outside diameter [m].

    Returns:
        Radius of the centre line [m]; NaN for another kind, and for sizes that are not made in the kind.

    Source: ASME B16.9, edition not recorded; from the table to NPS 24, by the rule above it.
    """
    if kind not in _ELBOW_RULE:
        return float("nan")
    size = _size_of(outside_diameter) if nps is None else nps
    if size in _elbow_sizes():
        printed = load(_ELBOWS).numbers(f"{kind} [mm]")[_elbow_sizes().index(size)] * 1e-3
        if not abs(printed - _ELBOW_RULE[kind] * size * INCH) <= _MILLIMETRE_ROUNDING:
            return float(printed)
    return _ELBOW_RULE[kind] * size * INCH


@cache
def _elbow_sizes() -> tuple[float, ...]:
    return tuple(float(nps) for nps in load(_ELBOWS).numbers("NPS [-]"))


def _size_of(outside_diameter: float) -> float:
    diameters = load(_ELBOWS).numbers("outside diameter [mm]") * 1e-3
    nearest = int(np.argmin(np.abs(diameters - outside_diameter)))
    found = abs(diameters[nearest] - outside_diameter) <= _MILLIMETRE_ROUNDING
    return _elbow_sizes()[nearest] if found else outside_diameter / INCH


@cache
def expansion_curve(group: str, basis: str = "") -> tuple[Curve, float]:
    """Total thermal strain of an expansion group and its reference temperature.

    The 2007 and later set starts at 20 °C. Below that the set used before 2010 is joined on, shifted so that
    both agree at the reference temperature; the shifted rows say so in their source.

    Args:
        group: Expansion group of the material table, such as ``CS``.
        basis: A basis of the expansion table by name, alone; empty for the default with its joined cold end.

    Returns:
        Strain [m/m] over temperature [°C], and the temperature of zero strain [°C].

    Raises:
        UnknownNameError: No rows for the group and basis.
    """
    rows = load(_EXPANSION).where("expansion group", group)
    chosen = rows.where("basis", basis) if basis else rows.where("default", "1")
    if not chosen.rows:
        raise UnknownNameError(f"no expansion rows for group {group!r}, basis {basis or 'default'!r}")
    curve = _curve(chosen, _celsius, _strain)
    reference = number(chosen.rows[0]["reference [°C]"])
    old = rows.where("basis", _OLD_EXPANSION)
    joinable = not basis and old.rows and chosen.rows[0]["basis"] != _OLD_EXPANSION
    return (_joined(curve, _curve(old, _celsius, _strain)) if joinable else curve), reference


def _joined(curve: Curve, old: Curve) -> Curve:
    start = curve.temperature[0]
    cold = old.temperature < start
    shift = curve.value[0] - old.at(start)
    note = f", shifted to agree at {start:g} °C with the newer set"
    return Curve(
        np.concatenate([old.temperature[cold], curve.temperature]),
        np.concatenate([old.value[cold] + shift, curve.value]),
        tuple(s + note for s, is_cold in zip(old.source, cold, strict=True) if is_cold) + curve.source,
        tuple(c for c, is_cold in zip(old.confidence, cold, strict=True) if is_cold) + curve.confidence,
    )


@cache
def _material(name: str) -> Material:
    row = load(_MATERIALS).where("material", name).rows[0]
    expansion, reference = expansion_curve(row["expansion group"])
    modulus = load(_MODULUS).where("modulus group", row["modulus group"])
    allowable = load(_ALLOWABLE).where("material", name)
    return Material(
        name=name,
        title=row["title"],
        density=number(row["density [kg/m³]"]),
        poisson=number(row["Poisson ratio [-]"]),
        modulus=_curve(modulus, _celsius, lambda r: number(r["modulus [GPa]"]) * 1e9),
        expansion=expansion,
        expansion_reference=reference,
        allowable=_curve(allowable, _celsius, _stress, "hold") if allowable.rows else None,
        yield_strength=None,
        minimum_yield=number(row["minimum yield [ksi]"]) * KSI,
        tensile_strength=number(row["minimum tensile [ksi]"]) * KSI,
        min_temperature=number(row["minimum temperature [°C]"]),
        family=cast(Family, row["family"]),
        flange_group=row["flange group"],
        note=row["note"],
        user_defined=False,
        p_number=row["P-number"],
        edition_set=allowable.rows[0]["edition set"] if allowable.rows else "",
        source=row["source"],
        confidence=row["confidence"],
    )


Reading = Callable[[Mapping[str, str]], float]


def _curve(table: Table, abscissa: Reading, ordinate: Reading, below: str = "refuse") -> Curve:
    return Curve(
        np.array([abscissa(r) for r in table.rows]),
        np.array([ordinate(r) for r in table.rows]),
        table.texts("source"),
        table.texts("confidence"),
        "hold" if below == "hold" else "refuse",
    )


def _celsius(row: Mapping[str, str]) -> float:
    fahrenheit = row.get("temperature [°F]", "")
    return (number(fahrenheit) - 32.0) / 1.8 if fahrenheit else number(row["temperature [°C]"])


def _strain(row: Mapping[str, str]) -> float:
    us = row["total expansion [in/100 ft]"]
    return number(us) * IN_PER_100_FT if us else number(row["total expansion [mm/m]"]) * 1e-3


def _stress(row: Mapping[str, str]) -> float:
    return number(row["stress [ksi]"]) * KSI


@cache
def _by_spelling() -> Mapping[str, str]:
    spellings: dict[str, str] = {}
    for row in load(_MATERIALS).rows:
        for name in (row["material"], *row["also written"].split(";")):
            spellings[_spelling(name)] = row["material"]
    return MappingProxyType(spellings)


def _spelling(name: str) -> str:
    """What remains of a material name when spelling habits are taken away."""
    text = name.upper().replace("ASTM", "").replace("ASME", "")
    text = re.sub(r"\bSA[- ]?(?=\d)", "A", text)  # SA-106 is A106 by another publisher
    text = re.sub(r"\b(GRADE|GR|TYPE|CLASS)\b\.?|\b(CL|GR)\.?(?=\s*[A-Z0-9])|(?<=\d)[- ]*TP(?=\s*\d)", "", text)
    return re.sub(r"[^A-Z0-9]", "", text)
