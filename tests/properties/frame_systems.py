"""Random piping-like frames for comparison with other programs and for property tests."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from pipecalc.calc.frame import (
    Frame,
    Loads,
    Restraints,
    anchors,
    build_frame,
    build_loads,
    build_restraints,
    join_restraints,
)

PIPES = ((0.1143, 0.00602), (0.1683, 0.00711), (0.2191, 0.00818), (0.3239, 0.00953))


@dataclass
class Plan:
    """A system being drawn: nodes, members and their properties, ends and supports."""

    nodes: list[np.ndarray] = field(default_factory=list)
    ends: list[tuple[int, int]] = field(default_factory=list)
    size: list[tuple[float, float]] = field(default_factory=list)
    centre: list[np.ndarray] = field(default_factory=list)
    normal: list[np.ndarray] = field(default_factory=list)
    k: list[float] = field(default_factory=list)
    tips: list[int] = field(default_factory=list)
    straight_nodes: list[int] = field(default_factory=list)

    def node(self, at):
        self.nodes.append(np.array(at, float))
        return len(self.nodes) - 1

    def member(self, i, j, size, centre=None, normal=None, k=1.0):
        nothing = np.full(3, np.nan)
        self.ends.append((i, j))
        self.size.append(size)
        self.centre.append(nothing if centre is None else centre)
        self.normal.append(nothing if normal is None else normal)
        self.k.append(k)


def tube(outside, wall):
    """Area and moment of inertia of tubes."""
    inside = outside - 2.0 * wall
    return np.pi / 4.0 * (outside**2 - inside**2), np.pi / 64.0 * (outside**4 - inside**4)


def turn(rng, direction):
    """A direction 30 to 90 degrees away from the last one."""
    other = rng.normal(size=3)
    other -= other @ direction * direction
    other /= np.linalg.norm(other)
    angle = np.pi / 2.0 if rng.random() < 0.6 else rng.uniform(np.pi / 6.0, np.pi / 2.0)
    return np.cos(angle) * direction + np.sin(angle) * other


def draw_run(plan, rng, start, legs, elbows, size):
    """Draw legs from a node; corners are elbows with a flexibility factor, or plain joints."""
    direction = rng.normal(size=3)
    direction /= np.linalg.norm(direction)
    here = start
    for leg in range(legs):
        middle = plan.node(plan.nodes[here] + rng.uniform(0.8, 4.0) * direction)
        plan.member(here, middle, size)
        plan.straight_nodes.append(middle)
        here = plan.node(plan.nodes[middle] + rng.uniform(0.5, 3.0) * direction)
        plan.member(middle, here, size)
        if leg == legs - 1:
            break
        new = turn(rng, direction)
        if elbows:
            here = draw_elbow(plan, here, direction, new, 1.5 * size[0], rng.uniform(1.0, 12.0), size)
        direction = new
    plan.tips.append(here)


def draw_elbow(plan, start, before, after, radius, k, size):
    normal = np.cross(before, after)
    normal /= np.linalg.norm(normal)
    centre = plan.nodes[start] + radius * np.cross(normal, before)
    end = plan.node(centre - radius * np.cross(normal, after))
    plan.member(start, end, size, centre, normal, k)
    return end


def random_plan(rng, elbows, branches=2):
    plan = Plan()
    first = plan.node(rng.uniform(-5.0, 5.0, 3))
    plan.tips.append(first)
    draw_run(plan, rng, first, int(rng.integers(2, 5)), elbows, PIPES[rng.integers(1, 4)])
    for _ in range(int(rng.integers(0, branches + 1))):
        start = plan.straight_nodes[rng.integers(len(plan.straight_nodes))]
        draw_run(plan, rng, start, int(rng.integers(1, 3)), elbows, PIPES[rng.integers(0, 2)])
    return plan


def frame_of(plan, shear=True, factors=True) -> Frame:
    area, inertia = tube(*np.array(plan.size).T)
    k = np.array(plan.k) if factors else 1.0
    return build_frame(
        plan.nodes,
        plan.ends,
        E=2.0e11,
        A=area,
        I=inertia,
        J=2.0 * inertia,
        shear_area=None if shear else np.inf,
        centre=plan.centre,
        normal=plan.normal,
        k_in=k,
        k_out=k,
    )


def restraints_of(plan, rng, cases) -> Restraints:
    """Anchors at all tips, moved in each case, and a few skewed elastic supports."""
    held = rng.choice(plan.straight_nodes, size=min(3, len(plan.straight_nodes)), replace=False)
    moved = rng.uniform(-0.02, 0.02, (len(plan.tips), 6, cases))
    moved[:, 3:] *= 0.1
    return join_restraints(
        anchors(plan.tips, moved, cases),
        build_restraints(
            held,
            rng.normal(size=(len(held), 3)),
            stiffness=10.0 ** rng.uniform(4, 8, len(held)),
            movement=rng.uniform(-0.01, 0.01, (len(held), cases)),
            cases=cases,
        ),
    )


def loads_of(frame: Frame, rng, cases, strain=True) -> Loads:
    """Weight and wind of any direction, point loads, and one strain for all members."""
    n, m = len(frame.nodes), len(frame.ends)
    nodal = np.zeros((n, 6, cases))
    nodal[rng.integers(0, n, 3)] = rng.uniform(-3000.0, 3000.0, (3, 6, cases))
    return build_loads(
        frame,
        cases,
        nodal=nodal,
        distributed=rng.uniform(-800.0, 800.0, (m, 3, cases)),
        strain=rng.uniform(0.0, 0.004, (1, cases)) if strain else 0.0,
    )
