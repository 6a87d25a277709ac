"""Curved cantilevers and a heated portal, through workbooks.

Arcs of the line are arcs of the problem: the legs are as long as the bend radius, so that nothing is left of them,
and the user's own flexibility factor is 1. Loads act in an occasional case; what they do is the difference from the
sustained one.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from pipecalc.verification.models import Numbers
from pipecalc.verification.models.plants import HOT_SUSTAINED, RANGE, Solved, anchor, rows, solved

_LOADED = "load P"


def _quarter(radius: float, load: Mapping[str, Any], second: Mapping[str, Any], **project: Any) -> Solved:
    """A quarter arc of 20 x 2 mm tube from East to ``second``, fixed at its start, with a load at its end."""
    runs = [
        {"from_": "1", "to": "2", "east": radius, "turn": "bend", "bend_radius": radius * 1e3, "own_k": 1},
        {"from_": "2", "to": "3", **second},
    ]
    book = rows(
        runs,
        [anchor("A", "1")],
        line={"outside_diameter": 20, "wall": 2, "design_pressure": 0.5},
        project=project,
        Point_loads=[{"load": "P", "line": "L", "point": "3", "acts_in": "occasional", **load}],
    )
    return solved(book)


def arc_in_plane() -> Numbers:
    """SSLL 06/89: a quarter arc of 3 m loaded in its plane."""
    found = _quarter(3.0, {"force_east": 10, "force_north": 5, "moment_up": 8}, {"north": -3.0})
    move = np.subtract(found.movement("3", _LOADED), found.movement("3", HOT_SUSTAINED))
    turn = found.moved("3", _LOADED).rot_up - found.moved("3", HOT_SUSTAINED).rot_up
    loaded, still = found.support("A", _LOADED), found.support("A", HOT_SUSTAINED)
    force = np.subtract(loaded.force, still.force)
    return {
        "u": move[0], "v": move[1], "turn": turn, "H": force[0], "V": force[1], "W": force[2],
        "M": loaded.moment[2] - still.moment[2],
    }  # fmt: skip


def arc_across() -> Numbers:
    """SSLL 07/89: a quarter ring of 1 m loaded across its plane."""
    found = _quarter(1.0, {"force_up": 100}, {"north": 1.0}, shear_deformation="no")
    loaded, still = (found.member("1", "2", "middle", case, "bend") for case in (_LOADED, HOT_SUSTAINED))
    return {
        "w": found.movement("3", _LOADED)[2] - found.movement("3", HOT_SUSTAINED)[2],
        "torsion at mid-arc": abs(loaded.torsion - still.torsion),
        "bending at mid-arc": abs(loaded.bending_out_of_plane - still.bending_out_of_plane),
    }


def heated_portal() -> Numbers:
    """A portal with fixed feet: beam at 220 °C, columns cold, shear deformation off."""
    runs = [
        {"from_": "1", "to": "2", "up": 5, "temperature": 20, "turn": "none"},
        {"from_": "2", "to": "3", "east": 10, "turn": "none"},
        {"from_": "3", "to": "4", "up": -5, "temperature": 20},
    ]
    book = rows(
        runs,
        [anchor("A", "1"), anchor("B", "4")],
        line={"outside_diameter": 219.1, "wall": 8.18, "operating_temperature": 220},
        project={"shear_deformation": "no"},
    )
    found = solved(book)
    foot, corner = (found.member("1", "2", end, RANGE) for end in ("from", "to"))
    return {
        "thrust": abs(foot.force[0]),
        "moment at the foot": abs(foot.moment[1]),
        "moment at the corner": abs(corner.moment[1]),
    }
