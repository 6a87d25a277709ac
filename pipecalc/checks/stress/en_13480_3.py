"""EN 13480-3 Metallic industrial piping, editions 2012 and 2017: flexibility analysis of clause 12.

All of it from memory; verify against the edition of record. Design stresses must be those of EN 13480-3, the
hot one f_f the lower of the time-independent and the creep design stress. The creep equation of 12.3.5 and the
equation for a single anchor movement, 12.3.6, are not computed here.
"""

import numpy as np
from numpy.typing import ArrayLike

from pipecalc.calc import stress
from pipecalc.calc.fatigue import cycles_allowed as power_law_cycles
from pipecalc.checks.stress import resultant
from pipecalc.checks.stress.interface import (
    AllowedRange,
    Array,
    Edition,
    Event,
    Factors,
    Forces,
    Geometry,
    Kind,
    OccasionalLimit,
    Options,
    StressCode,
    StressParts,
    array_form,
    liberal_where_better,
    positive,
    scalar_form,
)

#: Cycles up to which a factor U holds; beyond the last the law 6.0 N^-0.2 is taken where it is lower than 0.5.
U_STEPS = ((7000.0, 1.0), (14000.0, 0.9), (22000.0, 0.8), (45000.0, 0.7), (100000.0, 0.6))
U_BEYOND = 0.5
COEFFICIENT, SLOPE = 6.0, -0.2
TEST_SHARE = 0.95
_CARE = "above 100 000 cycles U is the lower of 0.5 and 6.0 N^-0.2, which is more careful than the table"
EDITIONS = {
    name: Edition(name, f"EN 13480-3:{name} Annex H", "U in steps, 1.0 to 7000 cycles", 5.0, (_CARE,))
    for name in ("2012", "2017")
}


def sustained(
    geometry: Geometry, forces: Forces, factors: Factors, pressure: Array, edition: str, options: Options
) -> StressParts:
    """Stress of sustained loads, allowances deducted: 12.3.2."""
    _check(edition, options)
    return resultant.sustained(geometry, resultant.wall_less_allowance(geometry), forces, factors, pressure)


def pressure_test(
    geometry: Geometry, forces: Forces, factors: Factors, pressure: Array, edition: str, options: Options
) -> StressParts:
    """Stress during the pressure test, pipe as new: 12.3.2 with the nominal wall."""
    _check(edition, options)
    return resultant.sustained(geometry, resultant.nominal_wall(geometry), forces, factors, pressure)


def occasional(
    geometry: Geometry,
    forces: Forces,
    event: Forces,
    factors: Factors,
    pressure: Array,
    edition: str,
    options: Options,
) -> StressParts:
    """Stress of sustained and occasional loads, allowances deducted: 12.3.3."""
    _check(edition, options)
    wall = resultant.wall_less_allowance(geometry)
    return resultant.occasional(geometry, wall, forces, event, factors, pressure)


def displacement_range(geometry: Geometry, forces: Forces, factors: Factors, edition: str) -> StressParts:
    """Stress range of thermal expansion and alternating loads, nominal wall: 12.3.4."""
    _check(edition, Options())
    return resultant.displacement_range(geometry, forces, factors)


def largest_cycle_factor(tensile_strength: float, metal_temperature: float, family: str) -> float:
    """One for every material."""
    return 1.0


def cycle_factor(N: ArrayLike, f_m: ArrayLike, edition: str) -> Array:
    """Cycle factor U: Table 12.1.3-1, in steps."""
    _check(edition, Options())
    cycles = np.asarray(N, dtype=float)
    ends, factors = (np.array(column) for column in zip(*U_STEPS, strict=True))
    sound = cycles > 0
    kept = np.where(sound, cycles, 1.0)
    beyond = np.minimum(U_BEYOND, COEFFICIENT * kept**SLOPE)
    step = np.append(factors, np.nan)[np.searchsorted(ends, kept)]
    U = np.where(kept > ends[-1], beyond, step)
    return np.where(sound, np.minimum(np.asarray(f_m, dtype=float), U), np.nan)


def cycles_allowed(f: ArrayLike, f_m: ArrayLike, edition: str) -> Array:
    """Cycles up to which the factor stays at what a range needs."""
    _check(edition, Options())
    needed = np.asarray(f, dtype=float)
    ends, factors = (np.array(column) for column in zip(*U_STEPS, strict=True))
    met = (factors >= np.where(np.isnan(needed), np.inf, needed)[..., None]).sum(axis=-1)
    steps = np.concatenate([[0.0], ends])[met]
    law = array_form(power_law_cycles(scalar_form(needed), COEFFICIENT, SLOPE))
    beyond = np.where(needed == 0, np.inf, np.where(needed > 0, np.maximum(law, ends[-1]), np.nan))
    found = np.where(needed <= U_BEYOND, beyond, steps)
    allowed = np.where(needed > np.asarray(f_m, dtype=float), 0.0, found)
    return np.where(np.isnan(needed), np.nan, allowed)


def allowable_range(
    f: ArrayLike, S_c: ArrayLike, S_h: ArrayLike, S_L: ArrayLike | None, modulus_ratio: ArrayLike
) -> AllowedRange:
    """Allowable range f_a = U (1.25 f_c + 0.25 f_h) E_h/E_c: 12.1.3; with S_L also f_a + f_f - sigma_1, 12.3.4.

    The ratio of moduli is taken although the range is computed with the modulus at installation: careful.
    """
    U, cold, hot = np.asarray(f, dtype=float), positive(S_c), positive(S_h)
    basic: Array = U * (1.25 * cold + 0.25 * hot) * np.minimum(1.0, positive(modulus_ratio))
    if S_L is None:
        return AllowedRange(basic, np.zeros(basic.shape, dtype=bool))
    spent = np.asarray(S_L, dtype=float)
    liberal = np.where((spent >= 0) & (spent < hot), basic + hot - spent, np.nan)
    return liberal_where_better(np.broadcast_to(basic, liberal.shape), liberal)


def limit_sustained(S_h: ArrayLike, W: ArrayLike) -> Array:
    """12.3.2: f_f, here also times a weld factor below one."""
    return positive(S_h) * positive(W)


def limit_occasional(S_h: ArrayLike, event: Event) -> Array:
    """12.3.3: k f_f, k by the share of time of the event."""
    return CODE.occasional_limits[event].factor * positive(S_h)


def limit_test(S_y: ArrayLike) -> Array:
    """95 % of the yield strength at test temperature."""
    return TEST_SHARE * positive(S_y)


def _check(edition: str, options: Options) -> None:
    resultant.refuse_options(options)
    if edition not in EDITIONS:
        raise LookupError(f"EN 13480-3:{edition} is not known here; {', '.join(EDITIONS)} are")


CODE = StressCode(
    title="EN 13480-3",
    editions=EDITIONS,
    sustained=sustained,
    displacement_range=displacement_range,
    occasional=occasional,
    test=pressure_test,
    largest_cycle_factor=largest_cycle_factor,
    cycle_factor=cycle_factor,
    cycles_allowed=cycles_allowed,
    allowable_range=allowable_range,
    limit_sustained=limit_sustained,
    limit_occasional=limit_occasional,
    limit_test=limit_test,
    occasional_limits={
        Event.WIND: OccasionalLimit(1.15, "acting less than 10 % of the operating time"),
        Event.EARTHQUAKE: OccasionalLimit(1.2, "acting less than 1 % of the operating time; design earthquake"),
        Event.RELIEF: OccasionalLimit(1.15, "acting less than 10 % of the operating time"),
    },
    clauses={
        Kind.SUSTAINED: "clause 12.3.2, sigma_1",
        Kind.RANGE: "clause 12.3.4, sigma_3",
        Kind.OCCASIONAL: "clause 12.3.3, sigma_2",
        Kind.TEST: "clause 12.3.2, sigma_1, nominal wall",
    },
    limit_clauses={
        Kind.SUSTAINED: "clause 12.3.2, f_f",
        Kind.RANGE: "clause 12.1.3, f_a, or 12.3.4, f_a + f_f - sigma_1",
        Kind.OCCASIONAL: "clause 12.3.3, k f_f",
        Kind.TEST: "0.95 R_eH at test temperature",
    },
    parts=resultant.PARTS,
    worked={
        kind: (stress.corroded_wall, *chain) if kind in (Kind.SUSTAINED, Kind.OCCASIONAL) else chain
        for kind, chain in resultant.WORKED.items()
    },
    allowance_deducted={Kind.SUSTAINED: True, Kind.RANGE: False, Kind.OCCASIONAL: True, Kind.TEST: False},
    notes=(
        "all equations, clause numbers and limits from memory; verify against the edition of record",
        "allowances are deducted for sustained and occasional loads, on the careful side",
        "axial forces other than that of pressure do not enter these equations",
        "creep (12.3.5) and single anchor movements (12.3.6) are not checked",
    ),
)
