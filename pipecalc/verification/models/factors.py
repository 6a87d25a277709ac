"""Flexibility and stress intensification of elbows and tees."""

from collections.abc import Callable, Mapping

from pipecalc.analysis import factors as of_point
from pipecalc.calc import branch, joint_factors
from pipecalc.calc.branch_b31j import BranchGeometry, branch_factors
from pipecalc.calc.elbow import BendFactors, elbow_factors
from pipecalc.calc.mitre import mitre_factors
from pipecalc.calc.section import mean_radius, section_modulus
from pipecalc.model import Section
from pipecalc.verification.models import Numbers


def elbow(D: float, T: float, R1: float) -> Numbers:
    """Factors of an elbow: flexibility with none, one and two flanged ends, intensification, section modulus."""
    plain = _elbow(D, T, R1)
    return {
        "h": plain.h,
        "k": plain.k,
        "k, one flange": _elbow(D, T, R1, flanged_ends=1).k,
        "k, two flanges": _elbow(D, T, R1, flanged_ends=2).k,
        "i_i": plain.i_i,
        "i_o": plain.i_o,
        "Z": section_modulus(D, T),
    }


def stiffened_elbow(D: float, T: float, R1: float, P: float, E: float) -> Numbers:
    """Flexibility factor with and without the stiffening by pressure."""
    found = _elbow(D, T, R1, pressure=P, modulus=E)
    return {"k with pressure": found.k, "k without": found.k * found.pressure_divisor}


def _elbow(D: float, T: float, R1: float, **more: float) -> BendFactors:
    return elbow_factors(T, R1, mean_radius(D, T), **more)  # type: ignore[arg-type]


def _proven_tee(T: float, r2: float) -> float:
    return float(branch.h_proven_tee(T, r2, r_x=2 * r2, T_c=1.5 * T, D_b=2 * r2 + T))


def _padded(T: float, r2: float) -> float:
    return float(branch.h_reinforced_tee(T, r2, T))


_TEES: Mapping[str, Callable[[float, float], float]] = {
    "unreinforced fabricated tee": branch.h_unreinforced_tee,
    "reinforced fabricated tee": _padded,
    "welding tee": branch.h_welding_tee,
    "welding tee with proven dimensions": _proven_tee,
}


def tee(kind: str, D: float, T: float) -> Numbers:
    """Factors of a size-on-size tee; a pad is as thick as the pipe."""
    h = _TEES[kind](T, mean_radius(D, T))
    outward = branch.branch_out_of_plane(h)
    return {"h": h, "i_o": outward, "i_i": branch.branch_in_plane(outward)}


def tee_characteristic(kind: str, T: float, r2: float) -> Numbers:
    """Flexibility characteristic of a tee of given mean radius, and its share of T/r2."""
    h = _TEES[kind](T, r2)
    return {"h": h, "h r2/T": h * r2 / T}


def later_tee(kind: str, D: float, T: float) -> Numbers:
    """Out-of-plane factor of the branch by the later table, at full size."""
    return {"i_o": branch_factors(BranchGeometry(kind, D, T, D, T, pad=T)).branch.i_o}


def later_branch(kind: str, D: float, T: float) -> Numbers:
    """Factors of branch and run by the later table, at full size."""
    found = branch_factors(BranchGeometry(kind, D, T, D, T, pad=T))
    own, run = found.branch, found.run
    return {"i_ib": own.i_i, "i_ob": own.i_o, "k_ib": own.k_i, "i_ir": run.i_i, "k_or": run.k_o}


def branch_of_point(kind: str, D: float, T: float, pad: float) -> Numbers:
    """Factors of a branch as the stress checks take them."""
    found = of_point.branch_factors(kind, Section(D, T), pad)
    return {"h": found.numbers["h"], "i_o": found.i_out, "i_i": found.i_in}


def flanged_elbow(D: float, T: float, R1: float, ends: float) -> Numbers:
    """Intensification of an elbow with flanged ends."""
    found = _elbow(D, T, R1, flanged_ends=int(ends))
    return {"h": found.h, "i_i": found.i_i, "i_o": found.i_o}


def mitre(T: float, theta: float, r2: float, s: float = 0.0) -> Numbers:
    """Factors of a mitre; a single cut without a spacing."""
    found = mitre_factors(T, theta, r2, s or None)
    return {"h": found.h, "k": found.k, "i": found.i_i, "i, out of plane": found.i_o}


def reducer(alpha: float, D2: float, t2: float) -> Numbers:
    """Factor of a reducer by the later table."""
    return {"i": joint_factors.reducer_intensification(alpha, D2, t2)}


def fillet(leg: float, wall: float) -> Numbers:
    """Factor of a fillet weld by its leg."""
    return {"i": joint_factors.fillet_weld_intensification(wall, leg)}
