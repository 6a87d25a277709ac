"""How fast the frame engine is, as ratios to OpenSees and PyNiteFEA on the same models in the same run.

Run: python tests/benchmarks/bench_frame.py [--no-pynite]. Medians of several runs; the differences of the answers are
printed, nothing is asserted. The first models are linear: a winding line with branches, anchors and rigid rests (see
`plant`), uniform loads in any direction, straight members with shear deformation. The last compares one line with
two-way supports to the same line with supports that lift, slide and have gaps (see `rubbing`).
"""

from __future__ import annotations

import statistics
import sys
import time

import numpy as np
import openseespy.opensees as ops

from pipecalc.calc import condense, contact_newton, factor, mechanism, recovery
from pipecalc.calc import solve as solver
from pipecalc.calc.contact import build_contacts
from pipecalc.calc.end_forces import section_forces
from pipecalc.calc.frame import anchors, build_frame, build_loads, build_restraints, join_restraints

CASES = 6
E, D, T = 2.0e11, 0.2191, 0.00818
A = np.pi / 4.0 * (D**2 - (D - 2 * T) ** 2)
I = np.pi / 64.0 * (D**4 - (D - 2 * T) ** 4)
SYSTEMS = ("BandSPD", "ProfileSPD", "SparseSYM", "UmfPack")


def plant(n, seed=7):
    """Positions, members, anchored nodes and rests of a winding main line with a branch of 15 nodes every 60 nodes."""
    rng = np.random.default_rng(seed)
    nodes, ends, tips = [np.zeros(3)], [], [0]
    ways = np.array([(1, 0, 0), (0, 1, 0), (1, 0, 0), (0, 0, 1), (1, 0, 0), (0, -1, 0), (1, 0, 0), (0, 0, -1)], float)
    here, leg = 0, 0
    while len(nodes) < n:
        for step in range(min(60, n - len(nodes))):
            if step % 8 == 0:
                leg += 1
            nodes.append(nodes[here] + rng.uniform(1.5, 3.0) * ways[leg % 8])
            ends.append((here, len(nodes) - 1))
            here = len(nodes) - 1
        start = here
        side = here
        for step in range(min(15, n - len(nodes))):
            way = (0.0, 0.6, 0.8) if step < 8 else (0.6, 0.8, 0.0)
            nodes.append(nodes[side] + rng.uniform(1.0, 2.0) * np.array(way))
            ends.append((side, len(nodes) - 1))
            side = len(nodes) - 1
        if side != start:
            tips.append(side)
    if here not in tips:
        tips.append(here)
    rests = np.setdiff1d(np.arange(4, n, 6), tips)
    return np.array(nodes), np.array(ends), np.unique(tips), rests


def case_loads(m, seed=3):
    rng = np.random.default_rng(seed)
    w = rng.uniform(-300.0, 300.0, (m, 3, CASES))
    w[:, 2, :3] = -650.0
    return w


def ours(nodes, ends, tips, rests, w, strain=0.0):
    """Building, solution and section forces at both ends; returns the solution, end forces and the parts in seconds."""
    clock = [time.perf_counter()]
    frame = build_frame(nodes, ends, E=E, A=A, I=I, J=2 * I)
    up = np.tile([0.0, 0.0, 1.0], (len(rests), 1))
    held = join_restraints(anchors(tips, cases=CASES), build_restraints(rests, up, cases=CASES))
    loads = build_loads(frame, CASES, distributed=w, strain=strain)
    clock.append(time.perf_counter())
    found = solver.solve(frame, held, loads)
    clock.append(time.perf_counter())
    at_i = section_forces(frame, found.end_actions, loads, 0.0)
    at_j = section_forces(frame, found.end_actions, loads, 1.0)
    clock.append(time.perf_counter())
    return found, (at_i, at_j), np.diff(clock)


def parts(nodes, ends, tips, rests, w):
    """Seconds of each part of one solution, in the order of the work."""
    frame = build_frame(nodes, ends, E=E, A=A, I=I, J=2 * I)
    up = np.tile([0.0, 0.0, 1.0], (len(rests), 1))
    held = join_restraints(anchors(tips, cases=CASES), build_restraints(rests, up, cases=CASES))
    loads = build_loads(frame, CASES, distributed=w)
    clock = [time.perf_counter()]
    mechanism.find_mechanisms(frame, held, np.zeros(0, int), np.zeros((0, 3)))
    clock.append(time.perf_counter())
    problem = solver._assemble(frame, held, loads)
    clock.append(time.perf_counter())
    fixed, none = problem.held.fixed, np.zeros(len(nodes), bool)
    inner = factor.factor(problem.in_node_axes, fixed, none, problem.blocks)
    clock.append(time.perf_counter())
    moved = inner.solve(problem.applied)
    clock.append(time.perf_counter())
    recovery.recover(problem, moved, solver.no_contacts(CASES), None)
    clock.append(time.perf_counter())
    names = ("check for free motion", "element matrices and loads", "order, band, factor", "solve", "recovery")
    return dict(zip(names, np.diff(clock), strict=True))


def opensees(nodes, ends, tips, rests, w, system):
    """The same in OpenSees: one model, a load pattern per case, end forces of all elements read back."""
    start = time.perf_counter()
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for tag, at in enumerate(nodes.tolist()):
        ops.node(tag, *at)
    for tip in tips.tolist():
        ops.fix(tip, 1, 1, 1, 1, 1, 1)
    for rest in rests.tolist():
        ops.fix(rest, 0, 0, 1, 0, 0, 0)
    G, axes = E / 2.6, []
    chord = nodes[ends[:, 1]] - nodes[ends[:, 0]]
    x = chord / np.linalg.norm(chord, axis=1, keepdims=True)
    seed = np.where(np.abs(x[:, [2]]) < 0.9, [0.0, 0.0, 1.0], [1.0, 0.0, 0.0])
    y = np.cross(seed, x)
    y /= np.linalg.norm(y, axis=1, keepdims=True)
    axes = np.stack([x, y, np.cross(x, y)], axis=1)
    for tag, (i, j) in enumerate(ends.tolist()):
        ops.geomTransf("Linear", tag, *axes[tag, 2].tolist())
        ops.element("ElasticTimoshenkoBeam", tag, i, j, E, G, A, 2 * I, I, I, A / 2, A / 2, tag)
    local = np.einsum("mij,mjc->mic", axes, w)
    ops.timeSeries("Constant", 1)
    ops.constraints("Plain")
    ops.numberer("RCM")
    ops.system(system)
    ops.integrator("LoadControl", 1.0)
    ops.algorithm("Linear")
    ops.analysis("Static")
    moved, forces = np.zeros((len(nodes), 6, CASES)), np.zeros((len(ends), 12, CASES))
    for case in range(CASES):
        if case:
            ops.remove("loadPattern", case)
            ops.reset()
        ops.pattern("Plain", case + 1, 1)
        for tag, (wx, wy, wz) in enumerate(local[:, :, case].tolist()):
            ops.eleLoad("-ele", tag, "-type", "-beamUniform", wy, wz, wx)
        if ops.analyze(1) != 0:
            raise RuntimeError(system)
        for tag in range(len(nodes)):
            moved[tag, :, case] = ops.nodeDisp(tag)
        for tag in range(len(ends)):
            forces[tag, :, case] = ops.eleResponse(tag, "localForce")
    ops.wipe()
    return moved, forces, time.perf_counter() - start


def pynite(nodes, ends, tips, rests, w):
    """The same in PyNiteFEA, without shear deformation, which it does not have."""
    from Pynite import FEModel3D

    start = time.perf_counter()
    model = FEModel3D()
    for i, at in enumerate(nodes.tolist()):
        model.add_node(f"N{i}", *at)
    model.add_material("steel", E, E / 2.6, 0.3, 0.0)
    model.add_section("pipe", A, I, I, 2 * I)
    for m, (i, j) in enumerate(ends.tolist()):
        model.add_member(f"M{m}", f"N{i}", f"N{j}", "steel", "pipe")
        for axis, name in enumerate(("FX", "FY", "FZ")):
            for case in range(CASES):
                value = float(w[m, axis, case])
                model.add_member_dist_load(f"M{m}", name, value, value, case=f"C{case}")
    for i in tips.tolist():
        model.def_support(f"N{i}", True, True, True, True, True, True)
    for i in rests.tolist():
        model.def_support(f"N{i}", False, False, True, False, False, False)
    for case in range(CASES):
        model.add_load_combo(f"C{case}", {f"C{case}": 1.0})
    model.analyze_linear(check_stability=False, sparse=True)
    moved = np.zeros((len(nodes), 3, CASES))
    for case in range(CASES):
        for i in range(len(nodes)):
            node = model.nodes[f"N{i}"]
            moved[i, :, case] = node.DX[f"C{case}"], node.DY[f"C{case}"], node.DZ[f"C{case}"]
        for m in range(len(ends)):
            model.members[f"M{m}"].f(f"C{case}")
    return moved, time.perf_counter() - start


def compare(n, runs, with_pynite):
    """Print the ratios of one size; returns our median."""
    model = plant(n)
    w = case_loads(len(model[1]))
    found, _, _ = ours(*model, w)
    split = [ours(*model, w)[2] for _ in range(runs)]
    mine = statistics.median(float(s.sum()) for s in split)
    print(f"\n{n} nodes, {len(model[1])} members, {CASES} cases; medians of {runs} runs")
    build, work, ends = (1e3 * statistics.median(float(s[i]) for s in split) for i in range(3))
    print(f"  pipecalc            {1e3 * mine:9.1f} ms")
    print(f"    building {build:.1f}, solving {work:.1f}, end forces {ends:.1f}; the solution in parts:")
    pieces = [parts(*model, w) for _ in range(runs)]
    for name in pieces[0]:
        print(f"    {name:28s}{1e3 * statistics.median(p[name] for p in pieces):9.1f} ms")
    best = np.inf
    for system in SYSTEMS:
        try:
            results = [opensees(*model, w, system) for _ in range(max(1, runs // 4))]
        except (RuntimeError, ops.OpenSeesError) as problem:
            print(f"  OpenSees {system:12s} not run: {problem}")
            continue
        seconds = statistics.median(r[2] for r in results)
        best = min(best, seconds)
        gap = np.abs(results[0][0] - found.movements).max() / np.abs(found.movements).max()
        print(f"  OpenSees {system:12s} {1e3 * seconds:8.1f} ms, largest difference {gap:.1e}")
    print(f"  ratio to the best of OpenSees: {best / mine:.1f}")
    if with_pynite:
        _, seconds = pynite(*model, w)
        print(f"  PyNiteFEA          {1e3 * seconds:10.1f} ms, ratio {seconds / mine:.0f}")
    return mine


def rubbing(n=2000, rests=60, runs=15):
    """Print what supports with friction and gaps cost beyond the linear solution of the same model.

    The model: the plant of `plant`, its weight and a uniform heating per case. Of its rests on level pipe, evenly
    chosen ones are `rests`: two-way springs of 1e9 N/m in the linear model; the same stiffness, free to lift and with
    friction 0.3, in the other, where every third also has a guide with a gap of 3 mm to each side and friction 0.3.
    All other rests and the anchors are two-way and rigid in both. In the other model the first case is reached from
    the unloaded state, the others from the first. Both times hold building, solution of all cases and section forces
    at both ends of all members; they are taken in turn.
    """
    nodes, ends, tips, held = plant(n)
    w = np.zeros((len(ends), 3, CASES))
    w[:, 2] = -650.0
    strain = np.array([[0.0, 0.0012, 0.0024, -0.0005, 0.0008, 0.0018]])
    level = np.abs(nodes[ends[:, 1], 2] - nodes[ends[:, 0], 2]) < 1e-9
    lying = held[[bool(level[(ends == node).any(axis=1)].all()) for node in held]]
    supports = lying[np.linspace(0, len(lying) - 1, rests).astype(int)]
    others = np.setdiff1d(held, supports)
    frame = build_frame(nodes, ends, E=E, A=A, I=I, J=2 * I)
    up = np.array([0.0, 0.0, 1.0])
    fixed = join_restraints(
        anchors(tips, cases=CASES), build_restraints(others, np.tile(up, (len(others), 1)), cases=CASES)
    )
    linear_held = join_restraints(
        fixed, build_restraints(supports, np.tile(up, (rests, 1)), stiffness=1e9, cases=CASES)
    )
    guides = supports[::3]
    side = np.cross(nodes[guides] - nodes[guides - 1], up)
    node = np.concatenate([supports, guides])
    lower = np.concatenate([np.zeros(rests), np.full(len(guides), -0.003)])
    upper = np.concatenate([np.full(rests, np.inf), np.full(len(guides), 0.003)])
    contacts = build_contacts(
        node,
        np.concatenate([np.tile(up, (rests, 1)), side]),
        CASES,
        lower=lower,
        upper=upper,
        stiffness=1e9,
        friction=0.3,
    )
    loads = build_loads(frame, CASES, distributed=w, strain=strain)
    follows = [-1, 0, 0, 0, 0, 0]

    def timed(run):
        start = time.perf_counter()
        build_frame(nodes, ends, E=E, A=A, I=I, J=2 * I)
        found = run()
        section_forces(frame, found.end_actions, loads, 0.0)
        section_forces(frame, found.end_actions, loads, 1.0)
        return found, time.perf_counter() - start

    # in turn, so that a busy moment of the machine touches both
    pairs = [
        (
            timed(lambda: solver.solve(frame, linear_held, loads)),
            timed(lambda: solver.solve(frame, fixed, loads, contacts, follows)),
        )
        for _ in range(runs)
    ]
    plain, rough = (statistics.median(pair[i][1] for pair in pairs) for i in (0, 1))
    found = pairs[-1][1][0]
    print(f"\n{n} nodes, {rests} rests and {len(guides)} gapped guides with friction, {CASES} cases")
    print(f"  linear {1e3 * plain:.1f} ms, with contacts {1e3 * rough:.1f} ms, ratio {rough / plain:.2f}")
    words = [np.bincount(v.ravel()).tolist() for v in (found.contacts.state, found.contacts.slip)]
    print(f"  settled {int(found.settled.sum())} of {CASES}, balance {found.balance.max():.1e}")
    print(f"  how many contact states of each kind {words[0]}, of each kind of friction {words[1]}")
    spent = _contact_parts(lambda: solver.solve(frame, fixed, loads, contacts, follows))
    for name, seconds in spent.items():
        print(f"    {name:28s}{1e3 * seconds:9.1f} ms")


def _contact_parts(run):
    """Seconds in condensing and in the laws, by timing the two functions."""
    spent = {}
    originals = solver.condense, solver.solve_contacts

    def clocked(name, function):
        def call(*args):
            start = time.perf_counter()
            out = function(*args)
            spent[name] = time.perf_counter() - start
            return out

        return call

    solver.condense = clocked("condensing", condense.condense)
    solver.solve_contacts = clocked("laws of supports", contact_newton.solve_contacts)
    try:
        run()
    finally:
        solver.condense, solver.solve_contacts = originals
    return spent


def main():
    with_pynite = "--no-pynite" not in sys.argv
    small = compare(2_000, 9, with_pynite)
    large = compare(20_000, 5, False)
    print(f"\ngrowth of time from 2,000 to 20,000 nodes: n^{np.log10(large / small):.2f}")
    rubbing()
    rubbing(20_000, runs=5)


if __name__ == "__main__":
    main()
