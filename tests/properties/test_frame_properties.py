"""What must hold for every frame: balance, turning, superposition, splitting, reciprocity, contact laws."""

from __future__ import annotations

import frame_systems
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pipecalc.calc.contact import CLOSED, CLOSED_UPPER, OPEN, SLIP, build_contacts
from pipecalc.calc.frame import (
    Restraints,
    anchors,
    build_frame,
    build_loads,
    build_restraints,
    join_restraints,
)
from pipecalc.calc.solve import solve

SEEDS = st.integers(0, 2**32 - 1)
few = settings(max_examples=25, derandomize=True)


def system(seed, elbows=True, cases=2):
    rng = np.random.default_rng(seed)
    plan = frame_systems.random_plan(rng, elbows)
    frame = frame_systems.frame_of(plan)
    return rng, frame, frame_systems.restraints_of(plan, rng, cases), frame_systems.loads_of(frame, rng, cases)


def turned(frame, matrix):
    """The same frame in turned axes."""
    return build_frame(
        frame.nodes @ matrix.T, frame.ends, E=frame.E, G=frame.G, A=frame.A, I=frame.I, J=frame.J,
        shear_area=frame.shear_area, centre=frame.centre @ matrix.T, normal=frame.normal @ matrix.T,
        k_in=frame.k_in, k_out=frame.k_out,
    )  # fmt: skip


def turn_restraints(r, matrix):
    return Restraints(r.node, r.direction @ matrix.T, r.rotational, r.stiffness, r.movement)


def turn_six(values, matrix):
    both = np.kron(np.eye(values.shape[1] // 3), matrix)
    return np.einsum("ij,njc->nic", both, values)


def about_up(angle):
    return np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1.0]])


@few
@given(SEEDS)
def test_applied_loads_and_reactions_balance(seed):
    _, frame, held, loads = system(seed)
    found = solve(frame, held, loads)
    assert found.balance.max() < 1e-8
    assert found.residual.max() < 1e-9


@few
@given(SEEDS, st.floats(-3.0, 3.0))
def test_turning_everything_turns_the_answer(seed, angle):
    rng, frame, held, loads = system(seed)
    matrix, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    matrix = matrix * np.sign(np.linalg.det(matrix)) @ about_up(angle)
    other = build_loads(
        frame,
        2,
        nodal=turn_six(loads.nodal, matrix),
        distributed=turn_six(loads.distributed, matrix),
        strain=loads.strain,
    )
    a = solve(frame, held, loads)
    b = solve(turned(frame, matrix), turn_restraints(held, matrix), other)
    assert np.abs(turn_six(a.movements, matrix) - b.movements).max() < 1e-8 * np.abs(a.movements).max()
    assert np.abs(turn_six(a.reactions, matrix) - b.reactions).max() < 1e-7 * np.abs(a.reactions).max()


@few
@given(SEEDS)
def test_loads_superpose(seed):
    _, frame, held, loads = system(seed)
    still = Restraints(held.node, held.direction, held.rotational, held.stiffness, 0.0 * held.movement)
    total = build_loads(
        frame, 2, nodal=loads.nodal.sum(axis=2, keepdims=True),
        distributed=loads.distributed.sum(axis=2, keepdims=True), strain=loads.strain.sum(axis=1, keepdims=True),
    )  # fmt: skip
    apart, together = solve(frame, still, loads), solve(frame, still, total)
    gap = apart.movements.sum(axis=2) - together.movements[:, :, 0]
    assert np.abs(gap).max() < 1e-9 * np.abs(apart.movements).max()


@few
@given(SEEDS)
def test_work_is_reciprocal(seed):
    rng, frame, held, _ = system(seed)
    still = Restraints(held.node, held.direction, held.rotational, held.stiffness, 0.0 * held.movement)
    nodal = rng.normal(size=(len(frame.nodes), 6, 2))
    u = solve(frame, still, build_loads(frame, 2, nodal=nodal)).movements
    one, other = np.sum(nodal[..., 0] * u[..., 1]), np.sum(nodal[..., 1] * u[..., 0])
    assert abs(one - other) < 1e-9 * np.abs(nodal[..., 0] * u[..., 1]).sum()


@few
@given(SEEDS)
def test_free_line_heated_evenly_has_no_force(seed):
    _, frame, _, _ = system(seed)
    found = solve(frame, anchors([0]), build_loads(frame, strain=0.003))
    assert np.abs(found.movements[:, :3, 0] - 0.003 * (frame.nodes - frame.nodes[0])).max() < 1e-10
    assert np.abs(found.end_actions).max() < 1e-9 * 0.003 * (frame.E * frame.A).max()


@few
@given(SEEDS, st.floats(0.1, 0.9))
def test_splitting_a_straight_run_changes_nothing(seed, share):
    rng, frame, held, loads = system(seed)
    straight = np.flatnonzero(~frame.is_bend)
    member = int(straight[rng.integers(len(straight))])
    i, j = frame.ends[member]
    order = [*range(len(frame.ends)), member]
    ends = frame.ends[order].copy()
    ends[member, 1] = ends[-1, 0] = len(frame.nodes)
    middle = frame.nodes[i] + share * (frame.nodes[j] - frame.nodes[i])
    split = build_frame(
        np.vstack([frame.nodes, middle]), ends, E=frame.E[order], A=frame.A[order], I=frame.I[order],
        J=frame.J[order], centre=frame.centre[order], normal=frame.normal[order], k_in=frame.k_in[order],
        k_out=frame.k_out[order],
    )  # fmt: skip
    other = build_loads(
        split, 2, nodal=np.concatenate([loads.nodal, np.zeros((1, 6, 2))]), distributed=loads.distributed[order],
        strain=loads.strain[order],
    )  # fmt: skip
    a, b = solve(frame, held, loads), solve(split, held, other)
    assert np.abs(a.movements - b.movements[:-1]).max() < 1e-8 * np.abs(a.movements).max()


def supported(seed, mu=0.3, order=None, angle=0.0, stiffness=1e9):
    """A random line between two anchors on rests and guides; weight, hot, cold again; rows of supports reordered."""
    rng = np.random.default_rng(seed)
    points, way = [np.zeros(3)], np.array([1.0, 0.0, 0.0])
    for step in range(16):
        if step % 4 == 3:
            turns = [(0, 1, 0), (1, 0, 0), (0, -1, 0), (0, 0, 1)]
            way = np.array(turns[rng.integers(4)], float)
        points.append(points[-1] + rng.uniform(2.0, 5.0) * way)
    rise = rng.uniform(0.0, 0.02)
    matrix = about_up(angle)
    area, inertia = frame_systems.tube(0.2191, 0.00818)
    frame = build_frame(
        np.array(points) @ matrix.T, [(i, i + 1) for i in range(16)], E=2e11, A=area, I=inertia, J=2 * inertia
    )
    rests, guides = np.arange(1, 16), np.arange(2, 15, 4)
    node = np.concatenate([rests, guides])
    across = np.cross(frame.nodes[guides] - frame.nodes[guides - 1], [0.0, 0.0, 1.0])
    across[np.linalg.norm(across, axis=1) < 1e-9] = matrix @ [1.0, 0.0, 0.0]
    normal = np.concatenate([np.tile([0.0, 0.0, 1.0], (len(rests), 1)), across])
    gap = np.where(np.arange(len(node)) < len(rests), 0.0, 0.003)
    upper = np.where(gap > 0.0, gap, np.inf)
    order = np.arange(len(node)) if order is None else order(rng, len(node))
    contacts = build_contacts(
        node[order], normal[order], 3, lower=-gap[order], upper=upper[order], friction=mu, stiffness=stiffness
    )
    w = np.zeros((16, 3, 3))
    w[:, 2] = -700.0
    moved = np.zeros((2, 6, 3))
    moved[1, 2, 1] = rise
    loads = build_loads(frame, 3, distributed=w, strain=np.array([[0.0, 0.002, 0.0]]))
    return contacts, order, matrix, solve(frame, anchors([0, 16], moved, 3), loads, contacts, [-1, 0, 1])


@few
@given(SEEDS, st.sampled_from([0.0, 0.1, 0.3, 0.5]))
def test_contacts_keep_their_laws(seed, mu):
    contacts, _, _, found = supported(seed, mu)
    c = found.contacts
    assert found.settled.all()
    along = np.einsum("ci,cik->ck", contacts.normal, c.movement)
    force = np.abs(c.normal_force).max()
    rest = np.isinf(contacts.upper)
    assert np.all(c.normal_force[rest] >= -1e-9 * force)
    is_open = c.state == OPEN
    assert np.all(np.abs(c.normal_force[is_open]) == 0.0)
    give = c.normal_force / contacts.stiffness[:, None]
    reach = np.abs(found.movements[:, :3]).max()
    low, high = c.state == CLOSED, c.state == CLOSED_UPPER
    assert np.abs(along + give - contacts.lower[:, None])[low].max() < 1e-9 * reach
    assert np.all(np.abs(along + give - contacts.upper[:, None])[high] < 1e-9 * reach)
    assert np.all((along >= contacts.lower[:, None] - 1e-9 * reach)[is_open])
    assert np.all((along <= contacts.upper[:, None] + 1e-9 * reach)[is_open])
    rub = np.linalg.norm(c.friction_force, axis=1)
    assert np.all(rub <= mu * np.abs(c.normal_force) * (1 + 1e-9) + 1e-9 * force)
    assert found.balance.max() < 1e-8


@few
@given(SEEDS)
def test_sliding_friction_opposes_the_movement(seed):
    contacts, _, _, found = supported(seed, 0.3)
    c = found.contacts
    level = c.movement - np.einsum("ci,cik->ck", contacts.normal, c.movement)[:, None] * contacts.normal[:, :, None]
    # from the unloaded state: the slide is the movement less the give of the sticking stiffness
    slide = (level + c.friction_force / contacts.friction_stiffness[:, None, None])[:, :, 0]
    friction = c.friction_force[:, :, 0]
    sliding = c.slip[:, 0] == SLIP
    size = np.linalg.norm(slide, axis=1) * np.linalg.norm(friction, axis=1)
    assert np.all((np.sum(slide * friction, axis=1) <= -(1 - 1e-6) * size)[sliding & (size > 1e-9 * size.max())])


@few
@given(SEEDS)
def test_order_of_supports_does_not_matter(seed):
    _, _, _, a = supported(seed)
    _, order, _, b = supported(seed, order=lambda rng, n: rng.permutation(n))
    assert np.abs(a.movements - b.movements).max() < 1e-8 * np.abs(a.movements).max()
    force = np.abs(a.contacts.normal_force).max()
    assert np.abs(a.contacts.normal_force[order] - b.contacts.normal_force).max() < 1e-6 * force


@few
@given(SEEDS, st.floats(0.1, 3.0))
def test_turning_the_plant_about_up_turns_the_answer(seed, angle):
    _, _, _, a = supported(seed)
    _, _, matrix, b = supported(seed, angle=angle)
    assert np.abs(turn_six(a.movements, matrix) - b.movements).max() < 1e-7 * np.abs(a.movements).max()
    force = np.abs(a.contacts.normal_force).max()
    assert np.abs(a.contacts.normal_force - b.contacts.normal_force).max() < 1e-5 * force


@few
@given(SEEDS)
def test_two_way_contacts_are_restraints(seed):
    rng, frame, held, loads = system(seed)
    node = rng.integers(1, len(frame.nodes) - 1, 3)
    node = np.unique(node[~np.isin(node, held.node)])
    way = rng.normal(size=(len(node), 3))
    contacts = build_contacts(node, way, 2, lower=0.0, upper=0.0)
    a = solve(frame, held, loads, contacts)
    b = solve(frame, join_restraints(held, build_restraints(node, way, cases=2)), loads)
    assert np.abs(a.movements - b.movements).max() < 1e-8 * np.abs(b.movements).max()
