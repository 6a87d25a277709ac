"""The two ways to the laws of supports, on the forces of rows alone and on the band of the frame, agree."""

import numpy as np
import pytest

from pipecalc.calc import contact_newton
from pipecalc.calc.contact import CLOSED, CLOSED_UPPER, SLIP, STICK, build_contacts
from pipecalc.calc.frame import anchors, build_frame, build_loads
from pipecalc.calc.solve import solve

UP = np.array([0.0, 0.0, 1.0])
WAYS = np.array([(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)])


def zigzag(legs, stiffness):
    """A level line of `legs` legs of four members, anchored at its start, with supports of every kind."""
    steps = np.repeat(WAYS[np.arange(legs) % 4], 4, axis=0) * 2.5
    nodes = np.concatenate([np.zeros((1, 3)), np.cumsum(steps, axis=0)])
    n = len(nodes)
    frame = build_frame(nodes, np.stack([np.arange(n - 1), np.arange(1, n)], axis=1), E=2e11, A=5e-3, I=3e-5, J=6e-5)
    rests, guides, stops = np.arange(2, n, 2), np.arange(3, n, 8), np.arange(7, n, 16)
    springs = np.arange(5, n, 8)
    along = steps[:, :] / 2.5
    side = np.cross(along, UP)
    node = np.concatenate([rests, guides, stops, springs])
    count = [len(rests), len(guides), len(stops), len(springs)]
    normal = np.concatenate(
        [np.tile(UP, (len(rests), 1)), side[guides - 1], side[stops - 1], np.tile(UP, (len(springs), 1))]
    )
    tangent = np.full((len(node), 3), np.nan)
    tangent[count[0] : count[0] + count[1]] = along[guides - 1]

    def column(*values):
        return np.repeat(np.array(values, float), count)

    contacts = build_contacts(
        node,
        normal,
        3,
        lower=column(0.0, -0.003, 0.0, 0.0),
        upper=column(np.inf, 0.003, 0.0, 0.0),
        stiffness=column(stiffness, stiffness, stiffness, 2e4),
        friction=column(0.3, 0.2, 0.1, 0.0),
        tangent=tangent,
        is_spring=column(0, 0, 0, 1).astype(bool),
        preload=column(0.0, 0.0, 0.0, 900.0)[:, None],
    )
    weight = np.zeros((n - 1, 3, 3))
    weight[:, 2] = -650.0
    loads = build_loads(frame, 3, distributed=weight, strain=np.array([[0.0, 0.0012, -0.0006]]))
    return frame, anchors([0], cases=3), loads, contacts


@pytest.mark.parametrize("stiffness", [1e8, np.inf])
@pytest.mark.parametrize("legs", [2, 3, 5])
def test_both_ways_agree(monkeypatch, legs, stiffness):
    """Supports whose friction runs along a line, stops without gap and springs among them."""
    model = zigzag(legs, stiffness)
    monkeypatch.setattr(contact_newton, "_FEW", 1_000)
    one = solve(*model, [-1, 0, 1])
    close = []
    original = contact_newton.settle

    def noted(*args):
        found = original(*args)
        close.append(found[2].all())
        return found

    monkeypatch.setattr(contact_newton, "settle", noted)
    monkeypatch.setattr(contact_newton, "_FEW", 0)
    other = solve(*model, [-1, 0, 1])
    assert close[0]
    assert len(close) == 3
    assert one.settled.all()
    assert other.settled.all()
    for a, b in (
        (one.contacts.normal_force, other.contacts.normal_force),
        (one.contacts.friction_force, other.contacts.friction_force),
        (one.movements, other.movements),
    ):
        assert np.abs(a - b).max() <= 1e-8 * np.abs(a).max()


def test_many_rigid_supports_settle_and_keep_their_laws():
    frame, held, loads, contacts = zigzag(40, np.inf)
    found = solve(frame, held, loads, contacts, [-1, 0, 1])
    assert found.settled.all()
    assert found.balance.max() <= 1e-8
    result = found.contacts
    size = np.abs(result.normal_force).max()
    position = np.einsum("cx,cxk->ck", contacts.normal, result.movement)
    reach = np.abs(found.movements[:, :3]).max()
    stop = np.where(result.state == CLOSED, contacts.lower[:, None], contacts.upper[:, None])
    closed = (result.state == CLOSED) | (result.state == CLOSED_UPPER)
    assert np.abs((position - stop)[closed]).max() <= 1e-9 * reach
    rubbing = contacts.friction > 0.0
    friction = np.linalg.norm(result.friction_force, axis=1)
    limit = contacts.friction[:, None] * np.abs(result.normal_force)
    sticks, slides = result.slip == STICK, result.slip == SLIP
    assert sticks.any()
    assert slides.any()
    assert (friction <= limit + 1e-9 * size)[rubbing].all()
    assert np.abs((friction - limit)[slides]).max() <= 1e-9 * size
