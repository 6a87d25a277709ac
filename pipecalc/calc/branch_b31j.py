"""Branch connections by ASME B31J-2017 Table 1-1: stress intensification and flexibility of every leg.

Every coefficient in this file is from memory of the table, whose fits come from ASME STP-PT-073 (2014), and not
one has been compared with a copy: results carry ``verified = False``. The fits of the welded-on fitting do not
join the older set at full size and are the least certain. Extruded outlets and contour insert branches are not
recalled at all and have no entry.

A fit is a line of arithmetic in the grammar of ``formula``: what is computed is what is printed.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite, nan
from types import MappingProxyType

from pipecalc.calc.branch import THICK_PAD
from pipecalc.calc.domain import inside, quotient
from pipecalc.calc.formula import Formula, evaluate

SOURCE = "ASME B31J-2017 Table 1-1, from memory with doubt about the digits; verify against the edition of record"
LARGEST_R_OVER_T = 50.0
LARGEST_d_OVER_t = 100.0
#: Rounding of equal sizes must not put a full-size branch outside the limit d/D <= 1.
_ROUNDING = 1e-9
_NAMES = tuple(f"{quantity}_{direction}{leg}" for leg in "rb" for quantity in "ik" for direction in "iot")
_SHARED = {"a": "d/D"}
_PAD_SHARED = {**_SHARED, "X": "R/(T + 0.5*t_e)", "Q": "T*R**(2/3)*(T + 0.5*t_e)**(-5/3)"}

WELDING_TEE = MappingProxyType(
    {
        "i_ir": "0.98*(R/T)**0.35*a**0.72*(t/T)**-0.52",
        "i_or": "0.61*(R/T)**0.29*a**1.95*(t/T)**-0.53",
        "i_tr": "0.34*(R/T)**(2/3)*a*(t/T)**-0.5",
        "i_ib": "0.33*(R/T)**(2/3)*a**0.18*(t/T)**0.7",
        "i_ob": "0.42*(R/T)**(2/3)*a**0.37*(t/T)**0.37",
        "i_tb": "0.42*(R/T)**(2/3)*a**1.1*(t/T)**1.1",
        "k_ir": "0.18*(R/T)**0.84*a**5",
        "k_or": "1",
        "k_tr": "0.08*(R/T)**0.91*a**5.7",
        "k_ib": "(1.91*a - 4.32*a**2 + 2.7*a**3)*(R/T)**0.77*a**0.47*(t/T)",
        "k_ob": "(0.34*a - 0.49*a**2 + 0.18*a**3)*(R/T)**1.46*(t/T)",
        "k_tb": "(1.08*a - 2.44*a**2 + 1.52*a**3)*(R/T)**0.77*a**1.61*(t/T)",
    }
)
UNREINFORCED_TEE = MappingProxyType(
    {
        "i_ir": "max(1.5, 1.2*a**0.5*(R/T)**0.4*(t/T)**-0.35)",
        "i_or": "(max(a, 0.5) - 2.7*max(a, 0.5)**2 + 2.62*max(a, 0.5)**3)*(R/T)**0.43*max(t/T, 0.5)**-0.7",
        "i_tr": "1.2*(R/T)**0.46*max(t/T, 0.5)**-0.45*max(a, 0.5)**1.37",
        "i_ib": "(0.038 + 1.45*a - 2.39*a**2 + 1.34*a**3)*(R/T)**0.76*(t/T)**0.74",
        "i_ob": "(0.038 + 2*a + 2*a**2 - 3.1*a**3)*(R/T)**(2/3)*(t/T)",
        "i_tb": "0.45*(R/T)**0.8*(t/T)**0.29*a**2",
        "k_ir": "1.23*(R/T)**0.47*(t/T)**-0.47*a**5.3",
        "k_or": "1",
        "k_tr": "(R/T)**0.78*(t/T)**-0.8*a**7.8",
        "k_ib": "(3.15*a - 6.4*a**2 + 4*a**3)*(R/T)**0.83*(t/T)**0.49*a**-0.2",
        "k_ob": "(2.05*a - 2.94*a**2 + 1.1*a**3)*(R/T)**1.4*(t/T)**0.6*a**0.12",
        "k_tb": "0.95*(R/T)**0.83*a**5.42",
    }
)
REINFORCED_TEE = MappingProxyType(
    {
        "i_ir": "max(1.5, X**0.45*a**0.54*(t/T)**-0.34)",
        "i_or": "(1.29*a - 2.87*a**2 + 2.39*a**3)*(t/T)**-0.25*X**0.35",
        "i_tr": "0.36*X**(2/3)*(t/T)**-0.6*a**1.4",
        "i_ib": "(3.33*a - 5.49*a**2 + 2.94*a**3)*Q*(t/T)**0.3",
        "i_ob": "(2.86*a + 2.4*a**2 - 4.34*a**3)*Q*(t/T)**0.3",
        "i_tb": "0.642*a**2*Q*(t/T)**0.3",
        "k_ir": "0.21*X**0.97*(t/T)**-0.65*a**6.2",
        "k_or": "1",
        "k_tr": "0.12*X**1.39*(t/T)**-0.74*a**8.5",
        "k_ib": "(1.29*a - 2.73*a**2 + 1.62*a**3)*X**1.2*(t/T)**0.56*a**0.33",
        "k_ob": "(0.84*a - 1.27*a**2 + 0.5*a**3)*X**1.69*(t/T)**0.68*a**0.21",
        "k_tb": "1.1*X**0.5*a**5.42",
    }
)
WELDED_ON_FITTING = MappingProxyType(
    {
        "i_ir": "max(1.5, (R/T)**0.43*a**0.2)",
        "i_or": "(0.02 + 0.88*a - 2.56*a**2 + 2.58*a**3)*(R/T)**0.43",
        "i_tr": "1.3*(R/T)**0.45*a**1.37",
        "i_ib": "(0.08 + 1.28*a - 2.35*a**2 + 1.45*a**3)*(R/T)**0.81*(t/T)*r_ratio",
        "i_ob": "(1.83*a - 1.07*a**3)*(R/T)**0.82*(t/T)**1.18",
        "i_tb": "0.77*(R/T)**(2/3)*(t/T)*a**2*r_ratio",
        "k_ir": "0.5*(R/T)**0.5*a**5",
        "k_or": "1",
        "k_tr": "0.1*(R/T)*a**5.7",
        "k_ib": "(0.55*a - 1.13*a**2 + 0.69*a**3)*(R/T)*(t/T)",
        "k_ob": "(1.03*a - 1.55*a**2 + 0.59*a**3)*(R/T)**1.4*(t/T)*a**0.33",
        "k_tb": "(0.37*a - 0.75*a**2 + 0.46*a**3)*(R/T)*(t/T)*a**1.2",
    }
)

#: Fits by kind of connection.
KINDS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "welding tee": WELDING_TEE,
        "unreinforced fabricated tee": UNREINFORCED_TEE,
        "reinforced fabricated tee": REINFORCED_TEE,
        "welded-on fitting": WELDED_ON_FITTING,
    }
)


@dataclass(frozen=True, slots=True)
class BranchGeometry:
    """Dimensions of a branch connection.

    Attributes:
        kind: A key of KINDS.
        run_diameter: Outside diameter of the run [m].
        run_wall: Its nominal wall [m].
        branch_diameter: Outside diameter of the branch [m].
        branch_wall: Its nominal wall [m].
        pad: Thickness of the pad of a reinforced tee [m].
        radius_ratio: Branch radius over the outside radius of a welded-on fitting at the run's surface [-].
    """

    kind: str
    run_diameter: float
    run_wall: float
    branch_diameter: float
    branch_wall: float
    pad: float = nan
    radius_ratio: float = nan

    @property
    def symbols(self) -> dict[str, float]:
        """What the fits are evaluated with: mean radius R and mean diameters D, d in m, walls T, t in m."""
        D, d = self.run_diameter - self.run_wall, self.branch_diameter - self.branch_wall
        pad = min(self.pad, THICK_PAD * self.run_wall) if isfinite(self.pad) else nan
        ratio = self.radius_ratio
        return {"R": D / 2, "D": D, "T": self.run_wall, "d": d, "t": self.branch_wall, "t_e": pad, "r_ratio": ratio}


@dataclass(frozen=True, slots=True)
class LegFactors:
    """Factors of one leg for its own moments and section modulus; NaN outside the limits.

    i: stress intensification, k: flexibility; in plane, out of plane, in torsion [-], none below one.
    """

    i_i: float
    i_o: float
    i_t: float
    k_i: float
    k_o: float
    k_t: float


@dataclass(frozen=True, slots=True)
class BranchFactors:
    """Factors of a branch connection.

    Attributes:
        run: For both legs of the run.
        branch: For the branch leg.
        reasons: Limits that are not met, in words; empty where the fits hold.
        formulas: Executable lines by name of the factor, for the page.
        symbols: Values they were evaluated with, SI.
        verified: False: the coefficients are from memory and act only where a project says so.
        source: Where they come from.
    """

    run: LegFactors
    branch: LegFactors
    reasons: tuple[str, ...]
    formulas: Mapping[str, tuple[str, ...]]
    symbols: Mapping[str, float]
    verified: bool = False
    source: str = SOURCE


def branch_factors(geometry: BranchGeometry) -> BranchFactors:
    """Factors of a branch connection, each with the leg's own section modulus.

    Args:
        geometry: Its dimensions.

    Returns:
        The factors. Outside a limit of the table all are NaN and ``reasons`` says which.

    Raises:
        LookupError: The table has no such kind.

    Source: ASME B31J-2017 Table 1-1, from memory; verify against the edition of record.
    """
    if geometry.kind not in KINDS:
        raise LookupError(f"no factors for {geometry.kind!r}; known are {', '.join(KINDS)}")
    symbols, reasons = geometry.symbols, outside_limits(geometry)
    formulas = {name: fit_lines(geometry.kind, name) for name in _NAMES}
    found = {name: nan if reasons else _evaluated(formulas[name], symbols) for name in _NAMES}
    return BranchFactors(_leg(found, "r"), _leg(found, "b"), reasons, formulas, symbols)


def fit_lines(kind: str, name: str) -> tuple[str, ...]:
    """Executable lines of one factor, in the symbols of ``BranchGeometry.symbols``; the last line is the factor."""
    shared = _PAD_SHARED if kind == "reinforced fabricated tee" else _SHARED
    fit = KINDS[kind][name]
    used = [f"{symbol} = {text}" for symbol, text in shared.items() if symbol in _words(fit)]
    return (*used, f"{name} = max(1, {fit})")


def outside_limits(geometry: BranchGeometry) -> tuple[str, ...]:
    """Limits of the table that a connection does not meet, in words.

    Source: ASME B31J-2017 Table 1-1: R/T <= 50, d/D <= 1, d/t <= 100; from memory.
    """
    s = geometry.symbols
    if not all(s[name] > 0 for name in "RDTdt"):
        return ("diameters and walls must be above zero, and a wall below the diameter",)
    checks = [
        (s["R"] / s["T"], LARGEST_R_OVER_T, "R/T of the run"),
        (s["d"] / s["D"], 1.0, "d/D, branch to run"),
        (s["d"] / s["t"], LARGEST_d_OVER_t, "d/t of the branch"),
    ]
    found = [f"{what} is {x:.4g}, the table ends at {end:g}" for x, end, what in checks if x > end * (1 + _ROUNDING)]
    return (*found, *_missing_dimension(geometry))


def branch_spring(E: float, I_b: float, k: float, d: float) -> float:
    """Rotational stiffness of a branch leg at the surface of the run, about one axis.

    Formula:
        K = E*I_b/(k*d)

    Args:
        E: Elastic modulus [Pa].
        I_b: Moment of inertia of the branch pipe [m⁴]; for torsion too, as the factors' definition has it.
        k: Flexibility factor of the branch leg about the axis [-].
        d: Mean diameter of the branch [m].

    Returns:
        K [N·m/rad]; NaN for a factor below one.

    Source: ASME B31J-2017, rotation = k M d/(E I); from memory. A rigid link joins the run's axis to its surface.
    """
    return inside(k >= 1, quotient(E * I_b, k * d))


def run_spring(E: float, I_r: float, k: float, D: float) -> float:
    """Rotational stiffness of a run leg at the intersection of the axes, about one axis.

    Formula:
        K = E*I_r/(k*D)

    Args:
        E: Elastic modulus [Pa].
        I_r: Moment of inertia of the run pipe [m⁴].
        k: Flexibility factor of the run leg about the axis [-].
        D: Mean diameter of the run [m].

    Returns:
        K [N·m/rad]; NaN for a factor below one.

    Source: ASME B31J-2017, rotation = k M D/(E I); from memory.
    """
    return inside(k >= 1, quotient(E * I_r, k * D))


def _missing_dimension(geometry: BranchGeometry) -> tuple[str, ...]:
    if geometry.kind == "reinforced fabricated tee" and not geometry.pad > 0:
        return ("a reinforced tee needs the thickness of its pad",)
    if geometry.kind == "welded-on fitting" and not 0 < geometry.radius_ratio <= 1:
        return ("a welded-on fitting needs the ratio of branch radius to fitting radius, above zero and at most one",)
    return ()


def _leg(found: Mapping[str, float], leg: str) -> LegFactors:
    return LegFactors(*(found[f"{quantity}_{direction}{leg}"] for quantity in "ik" for direction in "iot"))


def _evaluated(lines: tuple[str, ...], symbols: Mapping[str, float]) -> float:
    return float(evaluate(Formula(lines, tuple(symbols)), symbols))


def _words(text: str) -> set[str]:
    return {word.strip("_") for word in "".join(c if c.isalnum() or c == "_" else " " for c in text).split()}
