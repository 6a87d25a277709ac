"""Curved cantilevers and a heated portal from published verification collections, through workbooks.

Arcs of the line are arcs of the problem: the legs are as long as the bend radius, so that nothing is left of them,
and the user's own flexibility factor is 1. Loads act in an occasional case; what they do is the difference from the
sustained one.
"""

from math import radians

import numpy as np
import pytest

from tests.analysis.frame_plants import anchor, solve

HOT_SUSTAINED = "sustained, supports of operating"


def quarter(radius, load, second, **project):
    """A quarter arc of 20 x 2 mm tube from East to ``second``, fixed at its start, with a load at its end."""
    runs = [
        {"from_": "1", "to": "2", "east": radius, "turn": "bend", "bend_radius": radius * 1e3, "own_k": 1},
        {"to": "3", **second},
    ]
    return solve(
        runs,
        [anchor("A", "1")],
        line={"outside_diameter": 20, "wall": 2, "design_pressure": 0.5},
        project=project,
        **{"Point loads": [{"load": "P", "line": "L", "point": "3", "acts_in": "occasional", **load}]},
    )


def change(found, what, *place):
    return np.subtract(what(*place, "load P"), what(*place, HOT_SUSTAINED))


@pytest.mark.source("Guide de validation des progiciels de calcul de structures, SSLL 06/89, SFM/AFNOR, 1990")
def test_quarter_arc_in_its_plane():
    """Test SSLL 06/89, numbers as repeated in a public test file (ssll06a); a true curved element is within 0.2 %."""
    found = quarter(3.0, {"force_east": 10, "force_north": 5, "moment_up": 8}, {"north": -3.0})
    movement, turning = change(found, found.move, "3"), change(found, found.turned, "3")
    assert movement[0] == pytest.approx(0.3791, rel=2e-3)
    assert movement[1] == pytest.approx(0.2417, rel=2e-3)
    assert turning[2] == pytest.approx(0.1654, rel=2e-3)
    assert change(found, found.force, "A") == pytest.approx((10, 5, 0), abs=1e-6)
    assert change(found, found.moment, "A")[2] == pytest.approx(8 + 3 * 5 + 3 * 10, rel=1e-9)


@pytest.mark.source("Guide de validation des progiciels de calcul de structures, SSLL 07/89, SFM/AFNOR, 1990")
def test_quarter_ring_across_its_plane():
    """Test SSLL 07/89, numbers as repeated in a public test file (ssll07a): end movement, torsion and bending midway.

    At an angle t from the load, torsion is F R (1 - cos t) and bending F R sin t: 15 degrees from the fixed end gives
    the printed 74.118 and 96.5925 N·m; here at the middle of the arc, 45 degrees from both.
    """
    found = quarter(1.0, {"force_up": 100}, {"north": 1.0}, shear_deformation="no")
    assert change(found, found.move, "3")[2] == pytest.approx(0.13462, rel=2e-3)
    middle, still = (found.member("1", "2", "middle", case, "bend") for case in ("load P", HOT_SUSTAINED))
    assert abs(middle.torsion - still.torsion) == pytest.approx(100 * (1 - np.cos(radians(45))), rel=1e-3)
    bending = abs(middle.bending_out_of_plane - still.bending_out_of_plane)
    assert bending == pytest.approx(100 * np.sin(radians(45)), rel=1e-3)


@pytest.mark.source("Rigid-frame formulas of the Kleinlogel type, uniform temperature rise of the beam; from memory")
def test_portal_with_a_heated_beam():
    """Fixed feet, 5 m by 10 m of 219.1 x 8.18 mm, beam strain 0.0024, columns cold.

    The closed form neglects axial give, which takes about 0.1 % here; shear deformation is off.
    """
    cold = {"temperature": 20, "turn": "none"}
    runs = [
        {"from_": "1", "to": "2", "up": 5, **cold},
        {"to": "3", "east": 10, "turn": "none"},
        {"to": "4", "up": -5, "temperature": 20},
    ]
    found = solve(
        runs,
        [anchor("A", "1"), anchor("B", "4")],
        line={"outside_diameter": 219.1, "wall": 8.18, "operating_temperature": 220},
        project={"shear_deformation": "no"},
    )
    case = "range, installed to operating"
    foot, corner = found.member("1", "2", "from", case), found.member("1", "2", "to", case)
    assert abs(foot.force[0]) == pytest.approx(2782.03, rel=2e-3)
    assert abs(foot.moment[1]) == pytest.approx(10432.6, rel=2e-3)
    assert abs(corner.moment[1]) == pytest.approx(3477.54, rel=2e-3)
