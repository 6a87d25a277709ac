"""Stress intensification and flexibility factors at the points of a line.

Bends and mitres have the same factors in both sets. Branches take the legacy set unless the project asks for ASME B31J,
whose coefficients are from memory and are called unverified wherever they act.
"""

from dataclasses import dataclass
from math import isfinite, nan, pi, tan

from pipecalc.calc import branch, branch_b31j, elbow, mitre
from pipecalc.calc.section import mean_radius
from pipecalc.model import Section, Segment

SET_LEGACY = "ASME B31.3-2018 Appendix D, Table D300"
SET_B31J = "ASME B31J-2017 Table 1-1, from memory: unverified, check against your copy"
OWN = "the user's own factor"


@dataclass(frozen=True, slots=True)
class PointFactors:
    """Factors at a point and where they come from; NaN where no rule covers the geometry."""

    i_in: float
    i_out: float
    k: float
    kind: str
    source: str
    i_t: float = 1.0

    @property
    def largest_i(self) -> float:
        """The larger intensification factor; NaN if either is."""
        return self.i_in if self.i_in >= self.i_out else self.i_out if isfinite(self.i_in) else nan


STRAIGHT = PointFactors(1.0, 1.0, 1.0, "straight pipe", SET_LEGACY)


def turn_factors(segment: Segment) -> PointFactors:
    """Factors of the turn at the end of a segment; the user's own win over the computed ones."""
    computed = _computed_turn(segment)
    return _with_own(computed, segment)


def _computed_turn(segment: Segment) -> PointFactors:
    turn, section = segment.turn, segment.end_section
    if turn is None:
        return STRAIGHT
    radius = mean_radius(section.outside_diameter, section.wall)
    if turn.kind == "mitre":
        return _mitre(section, radius, turn.angle, turn.mitre_cuts, turn.radius)
    if not turn.radius:
        # A sharp corner is a single mitre of half the angle, if that is within the mitre's limits.
        return _mitre(section, radius, turn.angle, 1, 0.0)
    found = elbow.elbow_factors(section.wall, turn.radius, radius)
    return PointFactors(found.i_i, found.i_o, found.k, turn.kind, SET_LEGACY)


def _mitre(section: Section, radius: float, angle: float, cuts: int, bend_radius: float) -> PointFactors:
    half = angle / (2 * max(cuts, 1))
    spacing = 2.0 * bend_radius * _tan(half) if cuts > 1 and bend_radius else None
    found = mitre.mitre_factors(section.wall, half, radius, spacing)
    return PointFactors(found.i_i, found.i_o, found.k, "mitre" if cuts > 1 else "single mitre", SET_LEGACY)


def _tan(angle: float) -> float:
    return tan(angle) if angle < pi / 2 else nan


def _with_own(computed: PointFactors, segment: Segment) -> PointFactors:
    own = segment.own
    if own.i_in is None and own.i_out is None and own.k is None:
        return computed
    return PointFactors(
        computed.i_in if own.i_in is None else own.i_in,
        computed.i_out if own.i_out is None else own.i_out,
        computed.k if own.k is None else own.k,
        computed.kind,
        OWN,
    )


def branch_factors(kind: str, header: Section, pad: float) -> PointFactors:
    """Factors of a branch connection of the given kind on a header; NaN where the set has no rule.

    Args:
        kind: Word of the column "Branch at To"; empty where none was named.
        header: Section of the header.
        pad: Pad thickness [m].
    """
    radius = mean_radius(header.outside_diameter, header.wall)
    h = _branch_h(kind, header.wall, radius, pad)
    i_out = branch.branch_out_of_plane(h)
    i_in = i_out if kind == "welded-on fitting" else branch.branch_in_plane(i_out)
    return PointFactors(i_in, i_out, 1.0, kind or "branch of unnamed kind", SET_LEGACY)


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
    if basis != "B31J":
        same = branch_factors(kind, header, pad)
        return TeeFactors(same, same)
    if kind not in branch_b31j.KINDS:
        unknown = PointFactors(nan, nan, 1.0, f"{kind or 'branch of unnamed kind'}: no factors in this set", SET_B31J)
        return TeeFactors(unknown, unknown)
    found = branch_b31j.branch_factors(
        branch_b31j.BranchGeometry(
            kind,
            header.outside_diameter,
            header.wall,
            leg.outside_diameter,
            leg.wall,
            pad if pad > 0 else nan,
        )
    )
    words = f"{kind}: {'; '.join(found.reasons)}" if found.reasons else kind
    return TeeFactors(_b31j(found.run, words), _b31j(found.branch, words))


def _b31j(leg: branch_b31j.LegFactors, words: str) -> PointFactors:
    return PointFactors(leg.i_i, leg.i_o, 1.0, words, SET_B31J, leg.i_t)
