"""Work as a check of a solution: energy stored against work done, and one case's work through another's movements.

Both use the loads and reactions as they are reported, not the equations that were solved.
"""

from __future__ import annotations

import numpy as np

from pipecalc.calc.contact import Contacts
from pipecalc.calc.elements import Elements, Stack, build_stack, element_loads, gather, scatter
from pipecalc.calc.frame import Array, Frame, Loads
from pipecalc.calc.recovery import Solution


def work_residuals(frame: Frame, loads: Loads, contacts: Contacts, solution: Solution) -> tuple[Array, Array]:
    """How far a solution misses the two theorems of work of an elastic frame.

    Clapeyron: the work of all loads, reactions and restrained growth through the movements of their own case is twice
    the energy stored in the members. Maxwell and Betti: the work of one case's forces through another's movements is
    the same the other way round. What supports do counts as a force, so lifting and rubbing do not disturb this.

    Args:
        frame: The frame.
        loads: Its loads.
        contacts: Its supports that lift or rub.
        solution: What was found for them.

    Returns:
        Energy residual and largest symmetry residual of each case, relative, each of shape (cases,); NaN in cases that
        are not settled.

    Source: theorems of Clapeyron, and of Maxwell and Betti.
    """
    use = np.flatnonzero(solution.settled)
    energy, symmetry = np.full(loads.cases, np.nan), np.full(loads.cases, np.nan)
    if len(use):
        stack = build_stack(frame)
        moved = solution.movements[:, :, use]
        work = np.tensordot(_forces(stack, loads, contacts, solution)[:, :, use], moved, axes=((0, 1), (0, 1)))
        stored = _stored(stack.elements, moved)
        size = np.where(stored > 0.0, stored, 1.0)
        energy[use] = np.abs(np.diag(work) - stored) / size
        symmetry[use] = (np.abs(work - work.T) / np.sqrt(np.outer(size, size))).max(axis=1)
    return energy, symmetry


def _forces(stack: Stack, loads: Loads, contacts: Contacts, solution: Solution) -> Array:
    """Everything that acts on the nodes, growth as the forces that would hold it, shape (n, 6, cases)."""
    total = (
        loads.nodal + scatter(element_loads(stack, loads), stack.elements.ends, len(loads.nodal)) + solution.reactions
    )
    found = solution.contacts
    push = found.normal_force[:, None, :] * contacts.normal[:, :, None] + found.friction_force
    np.add.at(total[:, 0:3], contacts.node, push)
    return np.asarray(total)


def _stored(elements: Elements, moved: Array) -> Array:
    """Twice the energy in members and springs, shape (cases,)."""
    actions, _ = elements.actions(moved, np.zeros((len(elements.ends), 12, moved.shape[2])))
    return np.asarray(np.einsum("mic,mic->c", gather(moved, elements.ends), actions))
