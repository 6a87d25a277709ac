"""Largest stress intensification factor at the points of a line, for the hand method."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import cos, isnan, nan, radians

import numpy as np

from pipecalc.analysis.chains import ends_at
from pipecalc.analysis.factors import tee_factors, turn_factors
from pipecalc.calc.remembered import remembered
from pipecalc.calc.section import moment_of_inertia
from pipecalc.model import Line, Plant, Section, Segment

Key = tuple[str, str]
_STRAIGHT = -cos(radians(0.5))  # cosine of two arms that lie in one line, as turns are told


@dataclass(frozen=True, slots=True)
class Arm:
    """A run at one of its ends: whether it arrives there, and the unit vector leading away from it."""

    segment: Segment
    arrives: bool
    away: np.ndarray

    @property
    def section(self) -> Section:
        """Section at this end."""
        return self.segment.end_section if self.arrives else self.segment.section


@remembered(200)
def point_factors(line: Line, plant: Plant) -> Mapping[Key, float]:
    """Factor at each point that a line touches where it is not 1; NaN where no rule covers the geometry.

    A point where three or more runs meet without a kind of branch, and a corner without a turn (two lines that meet at
    an angle), are not covered.
    """
    found = {key: _factor_at(arms, plant) for key, arms in _meeting(line, plant).items()}
    return {key: factor for key, factor in found.items() if factor != 1.0}


def _meeting(line: Line, plant: Plant) -> Mapping[Key, list[Arm]]:
    """Runs of all lines at the points of one."""
    arms: dict[Key, list[Arm]] = {key: [] for s in line.segments for key in (s.start_key, s.end_key)}
    for key, own in arms.items():
        for segment, arrives in ends_at(plant)[key]:
            unit = np.asarray(segment.vector) / segment.length
            own.append(Arm(segment, arrives, -unit if arrives else unit))
    return arms


def _factor_at(arms: Sequence[Arm], plant: Plant) -> float:
    arriving = [arm.segment for arm in arms if arm.arrives]
    found = [turn_factors(segment).largest_i for segment in arriving if segment.turn is not None]
    headers = [segment for segment in arriving if segment.branch]
    if headers or len(arms) > 2:
        found += [_tee(header, arms, plant) for header in headers] or [nan]
    if not found:
        found = [largest((s.own.i_in or 1.0, s.own.i_out or 1.0)) for s in arriving if s.own.i_in or s.own.i_out]
    if not found and len(arms) == 2 and float(arms[0].away @ arms[1].away) > _STRAIGHT:
        return nan
    return largest(found or [1.0])


def _tee(header: Segment, arms: Sequence[Arm], plant: Plant) -> float:
    """The larger factor of run and branch of a tee; the user's own win."""
    others = [arm.section for arm in arms if arm.segment is not header]
    leg = min(others, key=_inertia, default=header.end_section)
    tee = tee_factors(plant.project.intensification, header.branch, header.end_section, leg, header.pad_thickness)
    return largest(
        own if own is not None else computed
        for part in (tee.run, tee.branch)
        for own, computed in ((header.own.i_in, part.i_in), (header.own.i_out, part.i_out))
    )


def _inertia(section: Section) -> float:
    return moment_of_inertia(section.outside_diameter, section.wall)


def largest(values: Iterable[float]) -> float:
    """The largest of several numbers; NaN if one of them is, since nothing can be said then."""
    found = list(values)
    return nan if any(isnan(value) for value in found) else max(found)
