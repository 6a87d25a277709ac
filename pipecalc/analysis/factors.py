"""Stress intensification and flexibility factors at the points of a line.

Bends and mitres have the same factors in both sets. Branches and reducers take the legacy set unless the project asks
for ASME B31J, whose coefficients are from memory and are called unverified wherever they act.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import atan2, isfinite, nan, pi, tan

from pipecalc.calc import branch, branch_b31j, elbow, mitre
from pipecalc.calc.joint_factors import joint_factor, reducer_intensification
from pipecalc.calc.section import mean_radius
from pipecalc.model import Section, Segment

SET_LEGACY = "ASME B31.3-2018 Appendix D, Table D300"
SET_B31J = "ASME B31J-2017 Table 1-1, from memory: unverified, check against your copy"
OWN = "the user's own factor"
B31J = "B31J"


@dataclass(frozen=True, slots=True)
class PointFactors:
    """Factors at a point and where they come from; NaN where no rule covers the geometry.

    Attributes:
        i_in: Intensification in plane.
        i_out: Out of plane.
        k: Flexibility factor.
        kind: What it is, with the reason where a factor is NaN.
        source: Table, or the user.
        i_t: Intensification in torsion.
        numbers: What the factors were computed from, by symbol, SI.
    """

    i_in: float
    i_out: float
    k: float
    kind: str
    source: str
    i_t: float = 1.0
    numbers: Mapping[str, float] = field(default_factory=dict)

    @property
    def largest_i(self) -> float:
        """The larger intensification factor; NaN if either is."""
        return self.i_in if self.i_in >= self.i_out else self.i_out if isfinite(self.i_in) else nan

    @property
    def is_known(self) -> bool:
        """Whether a rule gives both factors."""
        return isfinite(self.i_in) and isfinite(self.i_out)

    @property
    def is_unverified(self) -> bool:
        """Whether a factor rests on coefficients that nobody has compared with the standard."""
        return SET_B31J in self.source

    def without_plane(self) -> "PointFactors":
        """The larger factor in every direction, where nothing says which plane is meant."""
        return replace(self, i_in=self.largest_i, i_out=self.largest_i)


STRAIGHT = PointFactors(1.0, 1.0, 1.0, "straight pipe", SET_LEGACY)


def unknown(why: str) -> PointFactors:
    """No factor, and why."""
    return PointFactors(nan, nan, 1.0, why, "no rule")


def turn_factors(segment: Segment) -> PointFactors:
    """Factors of the turn at the end of a segment; the user's own win over the computed ones."""
    return with_own(_computed_turn(segment), segment)


def _computed_turn(segment: Segment) -> PointFactors:
    turn, section = segment.turn, segment.end_section
    if turn is None:
        return STRAIGHT
    radius = mean_radius(section.outside_diameter, section.wall)
    if turn.kind == "mitre":
        return _mitre(segment, section, radius, turn.mitre_cuts, turn.radius)
    if not turn.radius:
        # A sharp corner is a single mitre of half the angle, if that is within the mitre's limits.
        return _mitre(segment, section, radius, 1, 0.0)
    found = elbow.elbow_factors(section.wall, turn.radius, radius, segment.flanged_ends)
    numbers = {"h": found.h, "R1": turn.radius, "r2": radius}
    return _bend(found, _flanged(turn.kind, segment.flanged_ends), numbers)


def _mitre(segment: Segment, section: Section, radius: float, cuts: int, bend_radius: float) -> PointFactors:
    angle = segment.turn.angle if segment.turn else nan
    half = angle / (2 * max(cuts, 1))
    spacing = 2.0 * bend_radius * _tan(half) if cuts > 1 and bend_radius else None
    found = mitre.mitre_factors(section.wall, half, radius, spacing, segment.flanged_ends)
    kind = "mitre" if cuts > 1 else "single mitre"
    if half > mitre.LARGEST_HALF_ANGLE * (1 + 1e-9):
        kind += f": cut at {half * 180 / pi:.1f} degrees, the rule ends at {mitre.LARGEST_HALF_ANGLE * 180 / pi:g}"
    return _bend(found, _flanged(kind, segment.flanged_ends), {"h": found.h, "theta": half, "r2": radius})


def _tan(angle: float) -> float:
    return tan(angle) if angle < pi / 2 else nan


def _flanged(kind: str, ends: int) -> str:
    return kind if not ends else f"{kind}, one flanged end" if ends == 1 else f"{kind}, two flanged ends"


def _bend(found: elbow.BendFactors, kind: str, numbers: Mapping[str, float]) -> PointFactors:
    if isfinite(found.h) and not found.within_limits:
        kind += f": D/T is above {elbow.LARGEST_DIAMETER_TO_WALL:g}, where the factors end"
    return PointFactors(found.i_i, found.i_o, found.k, kind, SET_LEGACY, numbers=numbers)


def with_own(computed: PointFactors, segment: Segment) -> PointFactors:
    """The user's own factors in place of the computed ones."""
    own = segment.own
    if own.i_in is None and own.i_out is None and own.k is None:
        return computed
    taken = replace(computed, k=computed.k if own.k is None else own.k)
    if own.i_in is None and own.i_out is None:
        return taken
    both = own.i_in is not None and own.i_out is not None
    return replace(
        taken,
        i_in=computed.i_in if own.i_in is None else own.i_in,
        i_out=computed.i_out if own.i_out is None else own.i_out,
        kind=computed.kind.partition(":")[0] if both else computed.kind,
        source=OWN if both else f"{OWN}; {computed.source}",
        numbers={} if both else computed.numbers,
    )


def weld_factors(kind: str) -> PointFactors:
    """Factors of a weld or joint in straight pipe; those of a butt weld where none is named."""
    found = joint_factor(kind or "butt weld")
    return PointFactors(found.i, found.i, found.k, kind or "straight pipe", SET_LEGACY) if kind else STRAIGHT


def reducer_factors(segment: Segment, basis: str) -> PointFactors:
    """Factors of a reducer; its cone angle follows from its length and its two diameters."""
    if basis != B31J:
        i = joint_factor("concentric reducer").i
        return with_own(PointFactors(i, i, 1.0, "concentric reducer", SET_LEGACY), segment)
    ends = (segment.section, segment.end_section)
    small = min(ends, key=lambda s: s.outside_diameter)
    alpha = atan2(abs(ends[0].outside_diameter - ends[1].outside_diameter) / 2.0, segment.length)
    i = reducer_intensification(alpha, small.outside_diameter, small.wall)
    kind = "concentric reducer" if isfinite(i) else "concentric reducer: cone or D/t beyond the limits of the rule"
    numbers = {"alpha": alpha, "D2": small.outside_diameter, "t2": small.wall}
    return with_own(PointFactors(i, i, 1.0, kind, SET_B31J, numbers=numbers), segment)


def branch_factors(kind: str, header: Section, pad: float) -> PointFactors:
    """Factors of a branch connection of the given kind on a header; NaN where the set has no rule.

    Args:
        kind: Word of the column "Branch at To"; empty where none was named.
        header: Section of the header.
        pad: Pad thickness [m].
    """
    radius = mean_radius(header.outside_diameter, header.wall)
    h = _branch_h(kind, header.wall, radius, pad)
    words, thin = kind or "branch of unnamed kind", header.outside_diameter / header.wall
    if thin > elbow.LARGEST_DIAMETER_TO_WALL:
        h, words = nan, f"{words}: D/T of the header is {thin:.0f}, the factors end at 100"
    elif kind == "extruded outlet":
        words = f"{kind}: its crotch is not known, give your own factors"
    i_out = branch.branch_out_of_plane(h)
    i_in = i_out if kind == "welded-on fitting" else branch.branch_in_plane(i_out)
    numbers = {"h": h, "r2": radius, "T_r": pad} if isfinite(h) else {}
    return PointFactors(i_in, i_out, 1.0, words, SET_LEGACY, numbers=numbers)


def _branch_h(kind: str, wall: float, radius: float, pad: float) -> float:
    if kind == "welding tee":
        return branch.h_welding_tee(wall, radius)
    if kind == "reinforced fabricated tee":
        thick = pad > branch.THICK_PAD * wall
        return branch.h_thick_pad_tee(wall, radius) if thick else branch.h_reinforced_tee(wall, radius, pad)
    if kind == "welded-on fitting":
        return branch.h_welded_on_fitting(wall, radius)
    if kind == "unreinforced fabricated tee":
        return branch.h_unreinforced_tee(wall, radius)
    return nan


@dataclass(frozen=True, slots=True)
class TeeFactors:
    """Factors for the legs of a branch connection: of the run, and of the branch."""

    run: PointFactors
    branch: PointFactors


def tee_factors(basis: str, kind: str, header: Section, leg: Section, pad: float) -> TeeFactors:
    """Factors of a branch connection by the project's basis.

    Args:
        basis: ``"B31J"`` or the legacy set.
        kind: Word of the column "Branch at To"; empty where none was named.
        header: Section of the header.
        leg: Section of the branch.
        pad: Pad thickness [m].
    """
    if basis != B31J:
        same = branch_factors(kind, header, pad)
        return TeeFactors(same, same)
    found = tee_b31j(kind, header, leg, pad)
    if found is None:
        none = replace(unknown(f"{kind or 'branch of unnamed kind'}: no factors in this set"), source=SET_B31J)
        return TeeFactors(none, none)
    words = f"{kind}: {'; '.join(found.reasons)}" if found.reasons else kind
    return TeeFactors(_b31j(found.run, words), _b31j(found.branch, words))


def tee_b31j(kind: str, header: Section, leg: Section, pad: float) -> branch_b31j.BranchFactors | None:
    """All factors of a branch connection by ASME B31J; None where its table has no such kind."""
    if kind not in branch_b31j.KINDS:
        return None
    wide, narrow = (header.outside_diameter, header.wall), (leg.outside_diameter, leg.wall)
    return branch_b31j.branch_factors(branch_b31j.BranchGeometry(kind, *wide, *narrow, pad if pad > 0 else nan))


def _b31j(leg: branch_b31j.LegFactors, words: str) -> PointFactors:
    return PointFactors(leg.i_i, leg.i_o, 1.0, words, SET_B31J, leg.i_t)
