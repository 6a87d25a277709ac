"""Guided cantilever: a leg of pipe pushed sideways with both ends kept from turning.

For orthogonal runs between two anchors, of one size, with corners that do not turn and legs that take no
axial strain. Not for branches, nor for accepting nozzle loads: a screening method and a plausibility check.
Source: Crews, The Guided Cantilever Method for Quickly Checking Piping Flexibility, 2013, parts 1 to 4; the
beam behind it is the fixed and guided beam of Young and Budynas, Roark's Formulas for Stress and Strain, 8th
ed., Table 8.1.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipecalc.calc.domain import inside, quotient, square_root
from pipecalc.calc.interpolation import interpolate

# Guided-cantilever stress of the short leg over the exact frame stress; plane L bend, two anchors, sharp
# corner, no intensification.
_CORNER_RATIOS = np.array([1.0, 1.5, 2.0, 3.0, 5.0])
_CORNER_CREDITS = np.array([1.00, 1.27, 1.41, 1.57, 1.70])


def cantilever_force(E: float, I: float, L: float, delta: float) -> float:
    """Force at the ends of a leg pushed sideways, both ends kept from turning.

    Formula:
        F = 12*E*I*delta/L**3

    Args:
        E: Elastic modulus [Pa].
        I: Moment of inertia [m⁴].
        L: Length of the leg [m].
        delta: Displacement across the leg [m].

    Returns:
        Force [N]; NaN unless L > 0.

    Source: Roark, 8th ed., Table 8.1, fixed and guided beam.
    """
    return inside(L > 0, quotient(12 * E * I * delta, L**3))


def cantilever_moment(E: float, I: float, L: float, delta: float) -> float:
    """Moment at the ends of a leg pushed sideways, both ends kept from turning.

    Formula:
        M = 6*E*I*delta/L**2

    Args:
        E: Elastic modulus [Pa].
        I: Moment of inertia [m⁴].
        L: Length of the leg [m].
        delta: Displacement across the leg [m].

    Returns:
        Moment [N·m]; NaN unless L > 0.

    Source: Roark, 8th ed., Table 8.1, fixed and guided beam.
    """
    return inside(L > 0, quotient(6 * E * I * delta, L**2))


def cantilever_stress(E: float, D: float, L: float, delta: float) -> float:
    """Bending stress at the ends of a leg pushed sideways, without intensification.

    Formula:
        S = 3*E*D*delta/L**2

    Args:
        E: Elastic modulus [Pa].
        D: Outside diameter [m].
        L: Length of the leg [m].
        delta: Displacement across the leg [m].

    Returns:
        Stress [Pa]; NaN unless L > 0.

    Source: M/Z of the guided cantilever; Crews, part 2 (the printed US form is S = E D delta/(48 L²) with L
    in feet).
    """
    return inside(L > 0, quotient(3 * E * D * delta, L**2))


def propped_force(E: float, I: float, L: float, delta: float) -> float:
    """Force at the ends of a leg pushed sideways whose far end turns freely.

    Formula:
        F = 3*E*I*delta/L**3

    Args:
        E: Elastic modulus [Pa].
        I: Moment of inertia [m⁴].
        L: Length of the leg [m].
        delta: Displacement across the leg [m].

    Returns:
        Force [N]; NaN unless L > 0.

    Source: Roark, 8th ed., Table 8.1, cantilever with end load.
    """
    return inside(L > 0, quotient(3 * E * I * delta, L**3))


def propped_moment(E: float, I: float, L: float, delta: float) -> float:
    """Moment at the fixed end of a leg pushed sideways whose far end turns freely.

    Formula:
        M = 3*E*I*delta/L**2

    Args:
        E: Elastic modulus [Pa].
        I: Moment of inertia [m⁴].
        L: Length of the leg [m].
        delta: Displacement across the leg [m].

    Returns:
        Moment [N·m]; NaN unless L > 0.

    Source: Roark, 8th ed., Table 8.1, cantilever with end load.
    """
    return inside(L > 0, quotient(3 * E * I * delta, L**2))


def required_length(E: float, D: float, delta: float, i: float, S_A: float) -> float:
    """Leg length at which the intensified stress just meets the allowable range.

    Formula:
        L = sqrt(3*E*D*delta*i/S_A)

    Args:
        E: Elastic modulus [Pa].
        D: Outside diameter [m].
        delta: Displacement across the leg [m], its size.
        i: Stress intensification factor at the ends of the leg [-].
        S_A: Allowable displacement stress range [Pa].

    Returns:
        Length [m]; NaN for a negative displacement or no allowable.

    Source: the stress of the guided cantilever solved for its length; Crews, part 2.
    """
    return square_root(quotient(3 * E * D * delta * i, S_A))


def permissible_displacement(E: float, D: float, L: float, i: float, S_A: float) -> float:
    """Displacement across a leg at which the intensified stress just meets the allowable range.

    Formula:
        delta = S_A*L**2/(3*E*D*i)

    Args:
        E: Elastic modulus [Pa].
        D: Outside diameter [m].
        L: Length of the leg [m].
        i: Stress intensification factor at the ends of the leg [-].
        S_A: Allowable displacement stress range [Pa].

    Returns:
        Displacement [m].

    Source: the stress of the guided cantilever solved for its displacement; Crews, part 2.
    """
    return inside(L > 0, quotient(S_A * L**2, 3 * E * D * i))


def combined_stress(S_1: float, S_2: float) -> float:
    """Stress of a leg bent in two perpendicular directions.

    Formula:
        S = sqrt(S_1**2 + S_2**2)

    Args:
        S_1: Stress from the displacement in one direction [Pa].
        S_2: Stress from the displacement in the other [Pa].

    Returns:
        Stress [Pa].

    Source: bending of a round section about two axes; older practice takes the larger of the two, which is
    lower.
    """
    return square_root(S_1**2 + S_2**2)


def share_displacement(delta: float, lengths: ArrayLike, inertias: ArrayLike) -> NDArray[np.float64]:
    """How the legs across one direction share the displacement along it: as L³/I, in series with one force.

    Args:
        delta: Displacement to absorb [m].
        lengths: Lengths of the legs across the displacement [m], shape (n,).
        inertias: Their moments of inertia [m⁴], shape (n,).

    Returns:
        Displacement of each leg [m], shape (n,), summing to delta; all NaN if a length or inertia is not
        above zero; empty for no leg, which means that nothing can absorb the displacement.

    Source: Crews, part 3 (equal sections: by L³).
    """
    L, I = np.asarray(lengths, dtype=float), np.asarray(inertias, dtype=float)
    if not (np.all(L > 0) and np.all(I > 0)):
        return np.full(L.shape, np.nan)
    flexibility = L**3 / I
    shares: NDArray[np.float64] = delta * flexibility / flexibility.sum() if L.size else flexibility
    return shares


def u_loop_height(E: float, D: float, growth: float, i: float, S_A: float) -> float:
    """Height of a U loop whose two legs each take half the growth of the run.

    Guided on both sides; no credit for the flexibility of its top.

    Formula:
        H = sqrt(1.5*E*D*growth*i/S_A)

    Args:
        E: Elastic modulus [Pa].
        D: Outside diameter [m].
        growth: Growth of the run that the loop absorbs [m].
        i: Stress intensification factor of the loop's elbows [-].
        S_A: Allowable displacement stress range [Pa].

    Returns:
        Height [m]; NaN for negative growth or no allowable.

    Source: required length of a guided cantilever for half the growth.
    """
    return square_root(quotient(1.5 * E * D * growth * i, S_A))


def corner_rotation_credit(leg_ratio: float) -> float:
    """Overstatement of the short leg's stress in a plane L bend, since the corner does turn.

    Divide the short leg's guided-cantilever stress by it, or multiply its permissible displacement. Not taken
    unless asked for.

    Args:
        leg_ratio: Long leg over short leg [-].

    Returns:
        Credit [-], one at equal legs; NaN outside 1 to 5.

    Valid for: a plane L bend between two anchors that do not move, sharp corner, one size, no restraint
    between.

    Source: own derivation by the elastic centre (Spielvogel, Piping Stress Calculations Simplified),
    tabulated at five ratios.
    """
    return interpolate(leg_ratio, _CORNER_RATIOS, _CORNER_CREDITS)
