"""Curved cantilevers with printed answers.

SSLL 06/89 and SSLL 07/89: Guide de validation des progiciels de calcul de structures, SFM/AFNOR, 1990; numbers as in
the tests ssll06a and ssll07a of an open structural program. Ring: S. Timoshenko, Strength of Materials, Part I, 3rd
ed., 1955, p. 412, eq. (241), which prints 2.648 in where exact evaluation gives 2.649.
"""

from __future__ import annotations

import numpy as np
import pytest

from pipecalc.calc.end_forces import MOMENT_Y, TORSION, section_forces
from pipecalc.calc.frame import anchors, build_frame, build_loads
from pipecalc.calc.solve import solve


def cantilever(end, centre, normal, E, outside, inside, load):
    """A bend held at the origin and loaded at its end."""
    area = np.pi / 4.0 * (outside**2 - inside**2)
    inertia = np.pi / 64.0 * (outside**4 - inside**4)
    frame = build_frame(
        [(0, 0, 0), end], [(0, 1)], E=E, A=area, I=inertia, J=2.0 * inertia, shear_area=np.inf,
        centre=[centre], normal=[normal],
    )  # fmt: skip
    nodal = np.zeros((2, 6, 1))
    nodal[1, :, 0] = load
    loads = build_loads(frame, nodal=nodal)
    return frame, loads, solve(frame, anchors([0]), loads)


@pytest.mark.source("SFM/AFNOR, Guide de validation des progiciels de calcul de structures, 1990, SSLL 06/89")
def test_quarter_arc_in_plane():
    load = (10, 5, 0, 0, 0, 8)
    _, _, found = cantilever((3, -3, 0), (0, -3, 0), (0, 0, -1), 2e11, 0.020, 0.016, load)
    assert found.movements[1, [0, 1, 5], 0] == pytest.approx([0.3791, 0.2417, 0.1654], rel=0.002)
    assert found.reactions[0, [0, 1, 5], 0] == pytest.approx([-10, -5, -53], rel=1e-9)


@pytest.mark.source("SFM/AFNOR, Guide de validation des progiciels de calcul de structures, 1990, SSLL 07/89")
def test_quarter_ring_out_of_plane():
    load = (0, 0, 100, 0, 0, 0)
    frame, loads, found = cantilever((-1, 1, 0), (-1, 0, 0), (0, 0, 1), 2e11, 0.020, 0.016, load)
    assert found.movements[1, 2, 0] == pytest.approx(0.13462, rel=0.002)
    section = section_forces(frame, found.end_actions, loads, 15.0 / 90.0)[0, :, 0]
    assert abs(section[TORSION]) == pytest.approx(74.118, rel=0.001)
    assert abs(section[MOMENT_Y]) == pytest.approx(96.5925, rel=0.001)


@pytest.mark.source("S. Timoshenko, Strength of Materials, Part I, 3rd ed., 1955, p. 412, eq. (241)")
def test_timoshenko_quarter_ring():
    inch, pound = 0.0254, 4.4482216152605
    r, load = 100 * inch, (0, 0, 50 * pound, 0, 0, 0)
    E = 30e6 * pound / inch**2
    frame, loads, found = cantilever((-r, r, 0), (-r, 0, 0), (0, 0, 1), E, 2 * inch, 0.0, load)
    assert found.movements[1, 2, 0] / inch == pytest.approx(2.648, rel=0.002)
    fixed = section_forces(frame, found.end_actions, loads, 0.0)[0, :, 0]
    modulus = np.pi * (2 * inch) ** 3 / 32.0
    assert abs(fixed[MOMENT_Y]) / modulus / (pound / inch**2) == pytest.approx(6366, rel=0.0002)
    assert abs(fixed[TORSION]) / (2 * modulus) / (pound / inch**2) == pytest.approx(3183, rel=0.0002)
