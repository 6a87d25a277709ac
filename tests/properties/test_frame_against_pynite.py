"""A few random frames against PyNiteFEA, a second general-purpose frame library, used here only as a reference.

It has no shear deformation and no thermal load, so those are left out here. It joins any node that lies on a member
to that member, and therefore gets frames in which none does.
"""

from __future__ import annotations

import frame_systems
import numpy as np
import pytest
from Pynite import FEModel3D

from pipecalc.calc.frame import anchors
from pipecalc.calc.solve import solve


def reference(frame, held, loads):
    """Movements (n, 6) and reactions (n, 6) of one case."""
    model = FEModel3D()
    for i, at in enumerate(frame.nodes):
        model.add_node(f"N{i}", *at.tolist())
    E, G, I, A = (float(v) for v in (frame.E[0], frame.G[0], 0.0, 0.0))
    model.add_material("steel", E, G, 0.3, 0.0)
    for m, (i, j) in enumerate(frame.ends):
        A, I = float(frame.A[m]), float(frame.I[m])
        model.add_section(f"S{m}", A, I, I, float(frame.J[m]))
        model.add_member(f"M{m}", f"N{i}", f"N{j}", "steel", f"S{m}")
        for axis, name in enumerate(("FX", "FY", "FZ")):
            w = float(loads.distributed[m, axis, 0])
            model.add_member_dist_load(f"M{m}", name, w, w, case="A")
    for i in np.unique(held.node):
        model.def_support(f"N{i}", True, True, True, True, True, True)
    for i in range(len(frame.nodes)):
        for f, name in enumerate(("FX", "FY", "FZ", "MX", "MY", "MZ")):
            model.add_node_load(f"N{i}", name, float(loads.nodal[i, f, 0]), case="A")
    model.add_load_combo("A", {"A": 1.0})
    model.analyze_linear(check_stability=False)
    rows = [model.nodes[f"N{i}"] for i in range(len(frame.nodes))]
    moved = np.array([[getattr(n, d)["A"] for d in ("DX", "DY", "DZ", "RX", "RY", "RZ")] for n in rows])
    pushed = np.array([[getattr(n, f"Rxn{d}")["A"] for d in ("FX", "FY", "FZ", "MX", "MY", "MZ")] for n in rows])
    return moved, pushed


@pytest.mark.source("PyNiteFEA, general-purpose three-dimensional frame library")
@pytest.mark.parametrize("seed", range(8))
def test_straight_frames_agree(seed):
    rng = np.random.default_rng(500 + seed)
    plan = frame_systems.random_plan(rng, elbows=False)
    frame = frame_systems.frame_of(plan, shear=False)
    held = anchors(plan.tips)
    loads = frame_systems.loads_of(frame, rng, 1, strain=False)
    ours = solve(frame, held, loads)
    moved, pushed = reference(frame, held, loads)
    assert np.abs(ours.movements[:, :, 0] - moved).max() < 1e-6 * np.abs(moved).max()
    at = np.unique(held.node)
    assert np.abs(ours.reactions[at, :, 0] - pushed[at]).max() < 1e-6 * np.abs(pushed[at]).max()
