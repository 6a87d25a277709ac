"""Random three-dimensional frames against OpenSees (openseespy), a general-purpose program used only as a reference.

Straight members are the same model in both, so agreement is to rounding; bends are cut into chords in the reference,
and the number of chords is chosen such that halving the chord changes nothing within the tolerance.
"""

from __future__ import annotations

import frame_systems
import numpy as np
import opensees_reference
import pytest

from pipecalc.calc.solve import solve

FRAMES = 10
CASES = 2


def compare(seed, elbows, shear, chords=24):
    """Largest differences of movements, end actions and reactions, relative to the largest value of each kind."""
    rng = np.random.default_rng(seed)
    plan = frame_systems.random_plan(rng, elbows)
    frame = frame_systems.frame_of(plan, shear)
    restraints = frame_systems.restraints_of(plan, rng, CASES)
    loads = frame_systems.loads_of(frame, rng, CASES)
    ours = solve(frame, restraints, loads)
    assert ours.settled.all()
    theirs = opensees_reference.solve(frame, restraints, loads, chords)
    anchored = np.unique(restraints.node[np.isinf(restraints.stiffness)])
    pairs = [
        (ours.movements[:, :3], theirs[0][:, :3]),
        (ours.movements[:, 3:], theirs[0][:, 3:]),
        (ours.end_actions.reshape(-1, 2, 2, 3, CASES)[:, :, 0], theirs[1].reshape(-1, 2, 2, 3, CASES)[:, :, 0]),
        (ours.end_actions.reshape(-1, 2, 2, 3, CASES)[:, :, 1], theirs[1].reshape(-1, 2, 2, 3, CASES)[:, :, 1]),
        (ours.reactions[anchored, :3], theirs[2][anchored, :3]),
        (ours.reactions[anchored, 3:], theirs[2][anchored, 3:]),
    ]
    return [float(np.abs(a - b).max() / np.abs(b).max()) for a, b in pairs]


@pytest.mark.source(
    "OpenSees, Pacific Earthquake Engineering Research Center, elements ElasticTimoshenkoBeam and elasticBeamColumn"
)
@pytest.mark.parametrize("group", range(20))
def test_straight_frames_agree_to_rounding(group):
    worst = [compare(1000 * group + i, False, i % 2 == 0) for i in range(FRAMES)]
    assert np.max(worst) < 1e-6


@pytest.mark.source("OpenSees, Pacific Earthquake Engineering Research Center, bends cut into 24 chords")
@pytest.mark.parametrize("group", range(20))
def test_frames_with_elbows_agree_with_chords(group):
    worst = [compare(7000 + 1000 * group + i, True, i % 2 == 0) for i in range(FRAMES)]
    assert np.max(worst) < 1e-3


def test_chords_converge_to_the_arc():
    coarse, fine = (np.max(compare(7001, True, True, chords)) for chords in (6, 24))
    assert fine < 0.1 * coarse
