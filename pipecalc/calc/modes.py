"""Lowest natural frequencies and mode shapes of a frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.linalg import eigh
from scipy.sparse import coo_array, csr_array

from pipecalc.calc.assembly import Held, hold, restraint_blocks, turned_elements
from pipecalc.calc.contact import CLOSED, CLOSED_UPPER, SPRING, STICK, ContactResult, Contacts, tangents
from pipecalc.calc.elements import build_stack, chords
from pipecalc.calc.factor import Factor, SingularStiffnessError, factor
from pipecalc.calc.frame import Array, Frame, Index, Restraints, build_restraints
from pipecalc.calc.mechanism import Mechanism, find_mechanisms
from pipecalc.calc.pipe_element import straight_mass

_DENSE = 600
_NO_MASS = 1e-14
_SPARE = 8
_ROUNDS = 300
_SETTLED = 1e-11


@dataclass(frozen=True, slots=True, eq=False)
class Modes:
    """Natural frequencies, lowest first.

    Attributes:
        frequency: Shape (k,) [Hz]; empty when the frame is free to move or has no mass.
        shape: Movements of nodes in each mode, modal mass one, shape (n, 6, k).
        mechanisms: Free motions that stand in the way.
    """

    frequency: Array
    shape: Array
    mechanisms: tuple[Mechanism, ...]


def natural_modes(
    frame: Frame,
    restraints: Restraints,
    node_mass: npt.ArrayLike,
    mass_per_length: npt.ArrayLike = 0.0,
    count: int = 5,
    *,
    consistent: bool = True,
) -> Modes:
    """Return the lowest natural modes.

    Args:
        frame: The frame.
        restraints: Restraints; supports in the state they have come to, see `supports_as_found`.
        node_mass: Concentrated masses, broadcast to (n,) [kg].
        mass_per_length: Mass per length of members, broadcast to (m,) [kg/m].
        count: Number of modes wanted; fewer come where there are fewer freedoms with mass.
        consistent: Mass of straight members as a consistent matrix; otherwise, and for bends always, half at each
            end.

    Returns:
        The modes. Bends carry their mass at their ends: split a bend at its middle where that is too coarse.

    Source: K. J. Bathe, Finite Element Procedures, 1996, chapters 4 and 11.
    """
    none = np.zeros(0, np.intp), np.zeros((0, 3))
    mechanisms = find_mechanisms(frame, restraints, *none)
    empty = Modes(np.zeros(0), np.zeros((len(frame.nodes), 6, 0)), mechanisms)
    if mechanisms:
        return empty
    n = len(frame.nodes)
    held = hold(n, restraints, restraints.movement.shape[1])
    elements, blocks = turned_elements(build_stack(frame).elements, held), restraint_blocks(restraints, held)
    try:
        inner = factor(elements, held.fixed, np.zeros(n, bool), blocks)
    except SingularStiffnessError:
        return empty
    mass = _mass_matrix(frame, held, node_mass, mass_per_length, consistent)
    mass = _only_free(mass, held)
    heavy = np.flatnonzero(mass.diagonal() > _NO_MASS * mass.diagonal().max(initial=0.0))
    wanted = min(count, len(heavy))
    if not wanted:
        return empty
    if 6 * n <= _DENSE or wanted >= len(heavy) - 1:
        period, vector = _dense(mass, inner, heavy, wanted)
    else:
        period, vector = _sparse(mass, inner, heavy, wanted)
    order = np.argsort(-period)
    frequency = 1.0 / (2.0 * np.pi * np.sqrt(period[order]))
    shape = held.to_global(vector[:, order].reshape(n, 6, -1))
    return Modes(frequency, shape, ())


def _mass_matrix(
    frame: Frame, held: Held, node_mass: npt.ArrayLike, mass_per_length: npt.ArrayLike, consistent: bool
) -> csr_array:
    """Mass matrix in node axes, shape (6 n, 6 n)."""
    n, m = len(frame.nodes), len(frame.ends)
    point = np.array(np.broadcast_to(np.asarray(node_mass, float), (n,)))
    line = np.broadcast_to(np.asarray(mass_per_length, float), (m,))
    whole = ~frame.is_bend if consistent else np.zeros(m, bool)
    for side in (0, 1):
        np.add.at(point, frame.ends[~whole, side], 0.5 * (line * frame.length)[~whole])
    chord = chords(frame)[whole] / frame.length[whole][:, None]
    stack = straight_mass(chord, frame.length[whole], line[whole])
    freedom = (6 * frame.ends[whole][:, :, None] + np.arange(6)).reshape(-1, 12)
    at_nodes = (6 * np.arange(n)[:, None] + np.arange(3)).reshape(-1)
    row = np.concatenate([np.repeat(freedom, 12, axis=1).reshape(-1), at_nodes])
    col = np.concatenate([np.tile(freedom, (1, 12)).reshape(-1), at_nodes])
    value = np.concatenate([stack.reshape(-1), np.repeat(point, 3)])
    mass = csr_array(coo_array((value, (row, col)), shape=(6 * n, 6 * n)))
    if not len(held.turned):
        return mass
    turn = _turning(held, n)
    return csr_array(turn @ mass @ turn.T)


def _turning(held: Held, n: int) -> csr_array:
    """From global to node axes, shape (6 n, 6 n)."""
    axes = np.tile(np.eye(6), (n, 1, 1))
    axes[held.turned] = held.axes
    freedom = 6 * np.arange(n)[:, None] + np.arange(6)
    row, col = np.repeat(freedom, 6, axis=1), np.tile(freedom, (1, 6))
    return csr_array(coo_array((axes.reshape(-1), (row.reshape(-1), col.reshape(-1))), shape=(6 * n, 6 * n)))


def _flexibility(inner: Factor, load: Array) -> Array:
    n = len(inner.fixed)
    return inner.solve(load.reshape(n, 6, -1)).reshape(6 * n, -1)


def _dense(mass: csr_array, inner: Factor, heavy: Index, wanted: int) -> tuple[Array, Array]:
    """Squares of periods over 2 pi and vectors, from the flexibility of the freedoms with mass."""
    size = mass.shape[0]
    unit = np.zeros((size, len(heavy)))
    unit[heavy, np.arange(len(heavy))] = 1.0
    response = _flexibility(inner, unit)
    root = np.linalg.cholesky(mass[heavy][:, heavy].toarray())
    value, vector = eigh(root.T @ response[heavy] @ root, subset_by_index=(len(heavy) - wanted, len(heavy) - 1))
    return value, response @ (root @ vector) / value


def _sparse(mass: csr_array, inner: Factor, heavy: Index, wanted: int) -> tuple[Array, Array]:
    """The same by subspace iteration from fixed random vectors.

    A single-vector Lanczos iteration would miss one of the two equal frequencies of a line whose planes are alike.
    """
    columns = min(2 * wanted + _SPARE, len(heavy))
    vector = np.zeros((mass.shape[0], columns))
    vector[heavy] = np.random.default_rng(0).normal(size=(len(heavy), columns))
    last = np.zeros(wanted)
    for _ in range(_ROUNDS):
        push = mass @ vector
        vector = _flexibility(inner, push)
        value, mix = eigh(vector.T @ (mass @ vector), vector.T @ push)
        vector = vector @ mix / np.sqrt(np.maximum(value, np.finfo(float).tiny))
        found = value[-wanted:]
        if np.all(np.abs(found - last) <= _SETTLED * found):
            break
        last = found
    return found, vector[:, -wanted:]


def _only_free(mass: csr_array, held: Held) -> csr_array:
    part = coo_array(mass)
    loose = (~held.fixed).reshape(-1)
    keep = loose[part.row] & loose[part.col]
    return csr_array(coo_array((part.data[keep], (part.row[keep], part.col[keep])), shape=mass.shape))


def supports_as_found(contacts: Contacts, result: ContactResult, case: int) -> Restraints:
    """Return the supports of one solved case as two-way restraints: closed ones hold, sticking ones hold across too.

    Args:
        contacts: The contacts.
        result: What they were found to do.
        case: The case whose state is taken.

    Returns:
        Restraints without movement, one case.
    """
    state, slip = result.state[:, case], result.slip[:, case]
    closed = (state == CLOSED) | (state == CLOSED_UPPER)
    acting = closed | ((state == SPRING) & (contacts.stiffness > 0.0))
    stuck = np.flatnonzero(slip == STICK)
    line = np.isfinite(contacts.tangent[stuck, 0])
    across = tangents(contacts)[stuck]
    second = stuck[~line]
    return build_restraints(
        np.concatenate([contacts.node[acting], contacts.node[stuck], contacts.node[second]]),
        np.concatenate([contacts.normal[acting], across[:, 0], across[~line, 1]]),
        stiffness=np.concatenate(
            [
                contacts.stiffness[acting],
                contacts.friction_stiffness[stuck],
                contacts.friction_stiffness[second],
            ]
        ),
    )
