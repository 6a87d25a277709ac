"""The same frames in OpenSees: straight Timoshenko beams, bends as chords, heat by a route of its own.

Heat: with one strain for the whole frame the field strain x position is free of force. The reference therefore holds
the frame cold, moves every restraint by minus that field, and adds the field to the movements found: no thermal load
of the code under test enters.
"""

from __future__ import annotations

import numpy as np
import openseespy.opensees as ops

_FAR = 1_000_000


def _pieces(frame, member, chords):
    """Points along a member (ends included)."""
    i, j = frame.ends[member]
    start, end = frame.nodes[i], frame.nodes[j]
    if not np.isfinite(frame.radius[member]):
        return [start, end]
    centre, normal = frame.centre[member], frame.normal[member]
    arm = start - centre
    angles = frame.angle[member] * np.arange(chords + 1) / chords
    return [centre + np.cos(a) * arm + np.sin(a) * np.cross(normal, arm) for a in angles]


def _build(frame, chords):
    """Nodes and elements; returns per member its chord elements as (tag, rotation to local axes, length)."""
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for tag, at in enumerate(frame.nodes):
        ops.node(tag, *at.tolist())
    parts, node, element = [], len(frame.nodes), 0
    for member, (i, j) in enumerate(frame.ends):
        points = _pieces(frame, member, chords)
        tags = [int(i), *range(node, node + len(points) - 2), int(j)]
        for tag, at in zip(tags[1:-1], points[1:-1], strict=True):
            ops.node(tag, *at.tolist())
        node += len(points) - 2
        pieces = []
        for a, b, p, q in zip(tags, tags[1:], points, points[1:], strict=False):
            pieces.append(_beam(frame, member, element, a, b, p, q))
            element += 1
        parts.append(pieces)
    return parts, element


def _beam(frame, member, tag, a, b, p, q):
    x = (q - p) / np.linalg.norm(q - p)
    normal = frame.normal[member]
    if np.isfinite(normal[0]):
        z = normal
    else:
        z = np.cross(x, [1.0, 0.0, 0.0] if abs(x[0]) < 0.7 else [0.0, 1.0, 0.0])
        z /= np.linalg.norm(z)
    ops.geomTransf("Linear", tag, *z.tolist())
    E, G, A, I, J = (float(getattr(frame, n)[member]) for n in ("E", "G", "A", "I", "J"))
    I_y, I_z = I / frame.k_out[member], I / frame.k_in[member]
    shear = float(frame.shear_area[member])
    if np.isinf(shear):
        ops.element("elasticBeamColumn", tag, a, b, A, E, G, J, I_y, I_z, tag)
    else:
        ops.element("ElasticTimoshenkoBeam", tag, a, b, E, G, A, J, I_y, I_z, shear, shear, tag)
    return tag, np.array([x, np.cross(z, x), z]), float(np.linalg.norm(q - p))


def solve(frame, restraints, loads, chords=24):
    """Movements (n, 6, cases), end actions (m, 12, cases) and reactions (n, 6, cases), all in global axes."""
    n, m, cases = len(frame.nodes), len(frame.ends), loads.cases
    movement, action = np.zeros((n, 6, cases)), np.zeros((m, 12, cases))
    reaction = np.zeros((n, 6, cases))
    for case in range(cases):
        parts, count = _build(frame, chords)
        _restrain(frame, restraints, loads, case, count)
        _load(frame, loads, case, parts)
        ops.constraints("Transformation")
        ops.numberer("RCM")
        ops.system("BandGeneral")
        ops.integrator("LoadControl", 1.0)
        ops.algorithm("Linear")
        ops.analysis("Static")
        assert ops.analyze(1) == 0
        ops.reactions()
        field = float(loads.strain[0, case]) * frame.nodes
        for node in range(n):
            movement[node, :, case] = ops.nodeDisp(node)
            movement[node, 0:3, case] += field[node]
        for member, pieces in enumerate(parts):
            action[member, :6, case] = ops.eleResponse(pieces[0][0], "globalForce")[:6]
            action[member, 6:, case] = ops.eleResponse(pieces[-1][0], "globalForce")[6:]
        for node in np.unique(restraints.node[np.isinf(restraints.stiffness)]):
            reaction[node, :, case] = ops.nodeReaction(int(node))
    ops.wipe()
    return movement, action, reaction


def _restrain(frame, restraints, loads, case, element):
    ops.timeSeries("Linear", 1)
    ops.pattern("Plain", 1, 1)
    strain = float(loads.strain[0, case])
    rigid = np.isinf(restraints.stiffness)
    for r in np.flatnonzero(rigid):
        node, way = int(restraints.node[r]), restraints.direction[r]
        freedom = int(np.argmax(np.abs(way))) + 3 * int(restraints.rotational[r])
        free = 0.0 if restraints.rotational[r] else strain * float(way @ frame.nodes[node])
        ops.sp(node, freedom + 1, float(restraints.movement[r, case]) - free)
    for r in np.flatnonzero(~rigid):
        node, way = int(restraints.node[r]), restraints.direction[r]
        ground = _FAR + int(r)
        ops.node(ground, *frame.nodes[node].tolist())
        ops.fix(ground, 0, 0, 0, 1, 1, 1)
        at = (float(restraints.movement[r, case]) - strain * float(way @ frame.nodes[node])) * way
        for axis in range(3):
            ops.sp(ground, axis + 1, float(at[axis]))
        ops.uniaxialMaterial("Elastic", int(r) + 1, float(restraints.stiffness[r]))
        across = np.cross(way, [1.0, 0.0, 0.0] if abs(way[0]) < 0.7 else [0.0, 1.0, 0.0])
        ops.element(
            "zeroLength", element + int(r), ground, node, "-mat", int(r) + 1, "-dir", 1,
            "-orient", *way.tolist(), *across.tolist(),
        )  # fmt: skip


def _load(frame, loads, case, parts):
    for node in range(len(frame.nodes)):
        ops.load(node, *loads.nodal[node, :, case].tolist())
    for member, pieces in enumerate(parts):
        w = loads.distributed[member, :, case]
        # the chords together are shorter than the arc; the load on them stays that of the arc
        share = frame.length[member] / sum(length for _, _, length in pieces)
        for tag, axes, _ in pieces:
            x, y, z = (share * (axes @ w)).tolist()
            ops.eleLoad("-ele", tag, "-type", "-beamUniform", y, z, x)
