"""Small plants for tests of the hand method: from records, and through the workbook."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np

from pipecalc import making
from pipecalc.calc.material import Curve, Material
from pipecalc.making import Checked
from pipecalc.model import OPERATING, Equipment, Nozzle, Plant, Project, State, Support, Vector, Zone
from pipecalc.problems import Address
from pipecalc.workbook.reader import read
from tests.workbook.books import Rows, book_bytes

COLD = 21.0
UP: Vector = (0.0, 0.0, 1.0)


def curve(values: Mapping[float, float]) -> Curve:
    at = sorted(values)
    return Curve(
        np.array(at, float), np.array([values[t] for t in at], float), ("invented",) * len(at), ("user",) * len(at)
    )


def metal(alpha: float = 12e-6, name: str = "steel", **over: Any) -> Material:
    """A metal that grows in proportion to temperature."""
    given: dict[str, Any] = {
        "name": name,
        "title": name,
        "density": 7850.0,
        "poisson": 0.3,
        "modulus": curve({-200.0: 200e9, 1000.0: 200e9}),
        "expansion": curve({-200.0: alpha * (-200.0 - COLD), 1000.0: alpha * (1000.0 - COLD)}),
        "expansion_reference": COLD,
        "allowable": curve({-200.0: 120e6, 1000.0: 120e6}),
        "yield_strength": None,
        "minimum_yield": 240e6,
        "tensile_strength": 415e6,
        "min_temperature": -200.0,
        "family": "ferritic",
        "flange_group": "1.1",
        "note": "",
        "user_defined": True,
    }
    return Material(**(given | over))


def project(**over: Any) -> Project:
    given: dict[str, Any] = dict.fromkeys(
        ("title", "client", "site", "document_number", "revision", "prepared_by", "checked_by", "approved_by"), ""
    )
    given |= {
        "issued": date(2025, 3, 14),
        "code": "ASME B31.3",
        "edition": "2018",
        "units": "SI",
        "installation_temperature": COLD,
        "seismic_horizontal": None,
        "seismic_vertical": None,
        "wind_pressure": None,
        "wind_shape_factor": 0.7,
        "friction": 0.3,
        "elbow": "long radius",
        "cycles": 7000.0,
        "limit_nozzle": 1.0,
        "limit_sag": 0.0125,
        "limit_spring_variation": 0.25,
        "use_sustained_margin": False,
        "intensification": "Appendix D 2018",
        "pressure_stiffening": False,
        "shear_deformation": True,
        "modulus_for_reactions": "installation",
        "steel_density": None,
        "source": Address("Project"),
    }
    return Project(**(given | over))


def zone(start: float, end: float, temperature: float, material: Material | None = None, name: str = "") -> Zone:
    return Zone(name, start, end, temperature, material or metal(), None, Address("Zones", 3))


def item(kind: str = "vertical on skirt", **over: Any) -> Equipment:
    given: dict[str, Any] = {
        "name": "V-1",
        "kind": kind,
        "base": (0.0, 0.0, 0.0),
        "axis": UP,
        "centreline_height": None,
        "outside_diameter": 2.0,
        "wall": 0.012,
        "material": metal(),
        "temperature": 221.0,
        "support_temperature": None,
        "support_height": None,
        "design_temperature": None,
        "settlement": 0.0,
        "sway_east": None,
        "sway_north": None,
        "zones": (),
        "remark": "",
        "source": Address("Equipment", 3),
    }
    return Equipment(**(given | over))


def nozzle(at: Vector, name: str = "N1", direction: Vector = (1.0, 0.0, 0.0), **over: Any) -> Nozzle:
    given: dict[str, Any] = {
        "name": name,
        "equipment": "V-1",
        "nps": 6.0,
        "outside_diameter": 0.1683,
        "flange_class": "",
        "at": at,
        "direction": direction,
        "axes": (direction, UP, (0.0, -1.0, 0.0)),
        "point": ("L-1", "10"),
        "projection": None,
        "pad_thickness": None,
        "pad_width": None,
        "vendor_move": (None, None, None),
        "stiffness_model": "rigid",
        "sets": (),
        "allowable_factor": 1.0,
        "remark": "",
        "source": Address("Nozzles", 3),
    }
    return Nozzle(**(given | over))


def support(type: str = "rest", at: Vector = (0.0, 0.0, 0.0), **over: Any) -> Support:
    given: dict[str, Any] = {
        "name": "S-1",
        "point": ("L-1", "20"),
        "at": at,
        "pipe_direction": (1.0, 0.0, 0.0),
        "type": type,
        "direction": None,
        "gap": 0.0,
        "friction": 0.3,
        "stiffness": None,
        "attached_to": "structure",
        "spring_rate": None,
        "spring_load": None,
        "allowable_vertical": None,
        "allowable_horizontal": None,
        "remark": "",
        "source": Address("Supports", 3),
    }
    return Support(**(given | over))


def state_of(*items: Equipment, name: str = OPERATING, **temperatures: float) -> State:
    """A state with the items' own temperatures, or those given by tag."""
    own = {i.name: temperatures.get(i.name.replace("-", ""), i.temperature) for i in items}
    zones = {(i.name, n): temperatures.get(z.name, z.temperature) for i in items for n, z in enumerate(i.zones)}
    return State(name, None, {}, frozenset(), own, zones)


def plant_of(
    *items: Equipment, nozzles: Sequence[Nozzle] = (), supports: Sequence[Support] = (), states: Sequence[State] = ()
) -> Plant:
    return Plant(
        project=project(),
        revisions=(),
        lines={},
        equipment={i.name: i for i in items},
        nozzles={n.name: n for n in nozzles},
        allowables={},
        supports={s.name: s for s in supports},
        states=tuple(states) or (state_of(*items),),
        point_loads=(),
        points={},
    )


def checked(rows: Rows, **more: Any) -> Checked:
    """Rows through the workbook: read, checked and built."""
    return making.checked(read(book_bytes(rows, **more)))


def built(rows: Rows, **more: Any) -> Plant:
    found = checked(rows, **more)
    assert found.plant is not None, "\n".join(p.sentence() for p in found.errors)
    return found.plant


def codes(rows: Rows, severity: str = "error") -> list[tuple[str, str]]:
    """Codes and addresses of the problems of one severity."""
    return [(p.code, str(p.address)) for p in checked(rows).problems if p.severity == severity]


def line_rows(
    runs: Sequence[Mapping[str, Any]],
    *,
    temperature: float = 180.0,
    supports: Sequence[Mapping[str, Any]] = (),
    states: Sequence[Mapping[str, Any]] = (),
    project: Mapping[str, Any] | None = None,
    line: Mapping[str, Any] | None = None,
    start: Vector = (0.0, 0.0, 3.0),
    end: Mapping[str, Any] | None = None,
) -> Rows:
    """A line between two cold nozzles that do not move; points are 10, 20, 30 ... unless the runs name them."""
    segments: list[dict[str, Any]] = [
        {"line": "L-1", "from_": f"{10 * (n + 1)}", "to": f"{10 * (n + 2)}"} | dict(run) for n, run in enumerate(runs)
    ]
    to = [start[axis] + sum(run.get(key, 0.0) for run in runs) for axis, key in enumerate(("east", "north", "up"))]
    base = {"kind": "fixed", "material": "A106 B", "temperature": COLD}
    names = ("base_east", "base_north", "base_up")
    return {
        "Project": [
            {"title": "T", "date": date(2025, 3, 14), "edition": "2018", "installation_temperature": COLD}
            | dict(project or {})
        ],
        "Lines": [
            {
                "line": "L-1",
                "service": "Water",
                "from_": "A",
                "to": "B",
                "nps": 6,
                "schedule": 40,
                "material": "A106 B",
                "fluid_density": 900,
                "design_temperature": 200,
                "design_pressure": 16,
                "operating_temperature": temperature,
                "operating_pressure": 14,
            }
            | dict(line or {})
        ],
        "Segments": segments,
        "Equipment": [
            {"equipment": "P-1", **base, **dict(zip(names, start, strict=True))},
            {"equipment": "P-2", **base, **dict(zip(names, to, strict=True))},
        ],
        "Nozzles": [
            {
                "nozzle": "A",
                "equipment": "P-1",
                "nps": 6,
                **dict(zip(("east", "north", "up"), start, strict=True)),
                "direction": "+E",
                "line": "L-1",
                "point": segments[0]["from_"],
            },
            {
                "nozzle": "B",
                "equipment": "P-2",
                "nps": 6,
                **dict(zip(("east", "north", "up"), to, strict=True)),
                "direction": "-N",
                "line": "L-1",
                "point": segments[-1]["to"],
            }
            | dict(end or {}),
        ],
        "Supports": [{"line": "L-1", **s} for s in supports],
        "States": [dict(s) for s in states],
    }
