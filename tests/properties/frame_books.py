"""Random plants as workbook rows, and the same plants turned about Up."""

from math import cos, radians, sin, sqrt
from typing import Any

import numpy as np

from tests.analysis.frame_plants import Rows, anchor, rows, support

WAYS = ({"east": 1}, {"north": 1}, {"up": 1}, {"east": -1}, {"north": -1}, {"east": 0.6, "north": 0.8})
KINDS = (
    "rest",
    "rest",
    "rest and guide",
    "guide",
    "line stop",
    "rest, guide and line stop",
    "hanger rod",
    "spring",
    "constant load",
    "strut",
    "snubber",
)


def vector(way: dict[str, float]) -> np.ndarray:
    return np.array([way.get("east", 0), way.get("north", 0), way.get("up", 0)], float)


def random_book(seed: int, friction: float = 0.3) -> Rows:
    """A line of some legs with supports of all kinds, a branch, items, loads and two further states."""
    rng = np.random.default_rng(seed)
    segments, points = _legs(rng)
    supports = [anchor("A", "1"), anchor("Z", points[-1])]
    for n, point in enumerate(points[1:-1]):
        if rng.random() < 0.6:
            supports.append(_support(rng, f"S{n}", point))
    lines = []
    if rng.random() < 0.6:
        point = points[int(rng.integers(1, len(points) - 1))]
        lines = [{"line": "B", "outside_diameter": 114.3, "wall": 6.02}]
        way = {"east": 2.1, "north": -1.3} if rng.random() < 0.5 else {"up": 2.0}
        segments += [
            {"line": "B", "from_": f"L/{point}", "to": "b1", **way},
            {"line": "B", "from_": "b1", "to": "b2", "east": 1.2, "north": 1.9},
        ]
        supports.append(anchor("BZ", "b2", line="B"))
    book = rows(
        segments,
        supports,
        line={
            "fluid_density": float(rng.choice([0, 700, 1000])),
            "insulation_thickness": 50,
            "insulation_density": 130,
            "operating_temperature": float(rng.uniform(-40, 300)),
            "operating_pressure": 12,
            "test_pressure": 25,
        },
        project={"friction": friction, "seismic_horizontal": 0.2, "seismic_vertical": 0.1, "wind_pressure": 600},
        States=[{"state": "other", "applies_to": "L", "temperature": float(rng.uniform(-40, 300)), "fluid_density": 0}],
    )
    for line in lines:
        base = {k: v for k, v in book["Lines"][0].items() if not k.startswith("start")}
        book["Lines"].append({**base, **line})
    book["Point loads"] = [
        {"load": "M", "line": "L", "point": points[1], "mass": 40, "force_up": -300, "acts_in": "operating"},
        {"load": "V", "line": "L", "point": points[-2], "force_north": 900, "moment_up": 200, "acts_in": "occasional"},
    ]
    return book


def _legs(rng: np.random.Generator) -> tuple[list[dict[str, Any]], list[str]]:
    segments, points, last = [], ["1"], None
    for _ in range(int(rng.integers(3, 6))):
        ways = [w for w in WAYS if last is None or abs(vector(w) @ vector(last)) < 0.9]
        last = ways[int(rng.integers(len(ways)))]
        for _ in range(int(rng.integers(1, 3))):
            length = float(rng.uniform(1.2, 5.0))
            here = {key: value * length for key, value in last.items()}
            segments.append({"from_": points[-1], "to": str(len(points) + 1), **here})
            points.append(str(len(points) + 1))
    if len(segments) > 3 and rng.random() < 0.5:
        segments[0] |= {"mass": 60.0}
    return segments, points


def _support(rng: np.random.Generator, name: str, point: str) -> dict[str, Any]:
    kind = str(rng.choice(KINDS))
    more: dict[str, Any] = {}
    if kind in ("strut", "snubber"):
        more["direction"] = str(rng.choice(["1, 0, 0", "0, 1, 0", "0.6, 0, 0.8"]))
    if kind in ("guide", "line stop", "rest and guide", "strut"):
        more["gap"] = float(rng.choice([0, 3]))
    if kind == "spring":
        more["spring_rate"] = 40.0
    if rng.random() < 0.2 and kind in ("rest", "guide", "line stop"):
        more["stiffness"] = 20000.0
    return support(name, point, kind, **more)


def turned(book: Rows, angle: float) -> Rows:
    """The whole plant turned about Up, anticlockwise seen from above [degrees]."""
    c, s = cos(radians(angle)), sin(radians(angle))

    def turn(row: dict[str, Any], east: str, north: str) -> dict[str, Any]:
        if row.get(east) is None and row.get(north) is None:
            return row
        x, y = row.get(east) or 0.0, row.get(north) or 0.0
        return {**row, east: c * x - s * y, north: s * x + c * y}

    def aimed(row: dict[str, Any]) -> dict[str, Any]:
        if row.get("direction") is None:
            return row
        x, y, z = (float(v) for v in row["direction"].split(","))
        return {**row, "direction": f"{c * x - s * y!r}, {s * x + c * y!r}, {z!r}"}

    return {
        **book,
        "Lines": [turn(row, "start_east", "start_north") for row in book["Lines"]],
        "Segments": [turn(row, "east", "north") for row in book["Segments"]],
        "Supports": [aimed(row) for row in book["Supports"]],
        "Point loads": [
            turn(turn(row, "force_east", "force_north"), "moment_east", "moment_north")
            for row in book.get("Point loads", [])
        ],
    }


def turn_back(vector: tuple[float, float, float], angle: float) -> np.ndarray:
    """A vector of the turned plant in the axes of the plant as it was."""
    c, s = cos(radians(angle)), sin(radians(angle))
    x, y, z = vector
    return np.array([c * x + s * y, -s * x + c * y, z])


def size(values: list[tuple[float, float, float]]) -> float:
    """Largest length among vectors."""
    return max((sqrt(x * x + y * y + z * z) for x, y, z in values), default=0.0)
