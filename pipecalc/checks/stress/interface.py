"""What a stress code is to the rest of the program: records and functions of one shape for every code.

Arrays have the shape (n,), one entry for every section that is checked: the end of a member, or a face of a
branch point. SI throughout. An unknown number is NaN and stays NaN; a NaN stress or limit is never a pass.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Self, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipecalc.calc.stress import axial_factor

Array = NDArray[np.float64]
Function = Callable[..., Any]


class Kind(StrEnum):
    """What is checked."""

    SUSTAINED = "sustained"
    RANGE = "displacement range"
    OCCASIONAL = "occasional"
    TEST = "test"


class Event(StrEnum):
    """Occasional loads; never two at a time."""

    WIND = "wind"
    EARTHQUAKE = "earthquake"
    RELIEF = "relief reaction"


def scalar_form(values: Array) -> float:
    """An array as the formulas of ``calc`` type it: by its scalar form."""
    return cast(float, values)


def array_form(values: object) -> Array:
    """A result of the formulas as the array it is."""
    return np.asarray(values, dtype=float)


class _Arrays:
    """A frozen record of arrays of one length."""

    __slots__ = ()

    def __post_init__(self) -> None:
        shapes = {getattr(self, f.name).shape for f in fields(cast(Any, self))}
        if len(shapes) != 1 or len(next(iter(shapes))) != 1:
            raise ValueError(f"{type(self).__name__}: one-dimensional arrays of equal length are needed")


def _broadcast(*values: ArrayLike) -> list[Array]:
    arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(value, dtype=float)) for value in values))
    return [np.array(array) for array in arrays]


@dataclass(frozen=True, slots=True)
class Geometry(_Arrays):
    """Sections, each of shape (n,).

    Attributes:
        outside_diameter: Of the pipe, or of the pipe that matches the fitting [m].
        wall: Its nominal wall [m].
        allowance: Sum of allowances [m].
        header_wall: For a branch leg that reduces and has factors of the older set: nominal wall of the header
            without pad, which brings in the effective section modulus [m]. NaN everywhere else.
        header_allowance: Allowances of that header [m]; NaN likewise.
    """

    outside_diameter: Array
    wall: Array
    allowance: Array
    header_wall: Array
    header_allowance: Array

    @classmethod
    def of(
        cls,
        outside_diameter: ArrayLike,
        wall: ArrayLike,
        allowance: ArrayLike,
        header_wall: ArrayLike = np.nan,
        header_allowance: ArrayLike = np.nan,
    ) -> Self:
        """From numbers or arrays that broadcast to one length."""
        return cls(*_broadcast(outside_diameter, wall, allowance, header_wall, header_allowance))

    @property
    def is_branch(self) -> NDArray[np.bool_]:
        """Where an effective section modulus is taken, shape (n,)."""
        branch: NDArray[np.bool_] = ~np.isnan(self.header_wall)
        return branch


@dataclass(frozen=True, slots=True)
class Forces(_Arrays):
    """Section forces of a case, or their differences between two states; each of shape (n,).

    Attributes:
        axial: Tension positive, without the force of pressure [N].
        torsion: [N·m].
        in_plane: Bending moment in the plane of the bend or branch; about either axis for straight pipe [N·m].
        out_of_plane: Bending moment out of that plane [N·m].
    """

    axial: Array
    torsion: Array
    in_plane: Array
    out_of_plane: Array

    @classmethod
    def of(cls, axial: ArrayLike, torsion: ArrayLike, in_plane: ArrayLike, out_of_plane: ArrayLike) -> Self:
        """From numbers or arrays that broadcast to one length."""
        return cls(*_broadcast(axial, torsion, in_plane, out_of_plane))

    def plus(self, other: Self) -> Self:
        """Both at once, signs kept."""
        return type(self)(*(getattr(self, f.name) + getattr(other, f.name) for f in fields(self)))

    def minus(self, other: Self) -> Self:
        """From the other state to this one: the range."""
        return type(self)(*(getattr(self, f.name) - getattr(other, f.name) for f in fields(self)))


@dataclass(frozen=True, slots=True)
class Factors(_Arrays):
    """Stress intensification factors, each of shape (n,), none below one [-]."""

    i_in: Array
    i_out: Array
    i_t: Array
    i_a: Array

    @classmethod
    def of(cls, i_in: ArrayLike, i_out: ArrayLike, bend: ArrayLike, i_t: ArrayLike = 1.0) -> Self:
        """With the axial factor that follows: one for bends, the out-of-plane factor for everything else.

        Args:
            i_in: In-plane factors.
            i_out: Out-of-plane factors.
            bend: True for elbows, bends and mitres.
            i_t: Torsional factors; one unless a table gives another.
        """
        inward, outward, bends, torsional = _broadcast(i_in, i_out, bend, i_t)
        axial = array_form(axial_factor(scalar_form(outward), cast(bool, bends > 0)))
        return cls(inward, outward, torsional, axial)

    @property
    def largest(self) -> Array:
        """The larger bending factor, for codes with a single one; NaN where either is."""
        return np.maximum(self.i_in, self.i_out)


@dataclass(frozen=True, slots=True)
class Indices(_Arrays):
    """Sustained stress indices, each of shape (n,) [-], where the project gives its own."""

    in_plane: Array
    out_of_plane: Array
    torsional: Array
    axial: Array

    @classmethod
    def of(
        cls, in_plane: ArrayLike, out_of_plane: ArrayLike, torsional: ArrayLike = 1.0, axial: ArrayLike = 1.0
    ) -> Self:
        """From numbers or arrays that broadcast to one length."""
        return cls(*_broadcast(in_plane, out_of_plane, torsional, axial))


@dataclass(frozen=True, slots=True)
class Options:
    """Choices where a code leaves one.

    Attributes:
        indices: Own sustained indices; None takes the edition's default.
        thin_pressure: Longitudinal pressure stress as P D/(4 t) instead of the exact form; larger.
    """

    indices: Indices | None = None
    thin_pressure: bool = False


NO_OPTIONS = Options()


@dataclass(frozen=True, slots=True)
class StressParts:
    """A stress and what it is made of, each of shape (n,) [Pa].

    Attributes:
        total: What stands against the limit.
        axial: First part, named in ``StressCode.parts``.
        bending: Second part.
        torsion: Third part; zero where the code keeps none apart.
        inputs: Every number by its symbol, for the worked lines, each of shape (n,), SI.
    """

    total: Array
    axial: Array
    bending: Array
    torsion: Array
    inputs: Mapping[str, Array]


@dataclass(frozen=True, slots=True)
class AllowedRange:
    """Allowable displacement stress range, each of shape (n,).

    Attributes:
        value: [Pa].
        with_sustained_margin: True where what the sustained stress leaves over is counted.
    """

    value: Array
    with_sustained_margin: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class OccasionalLimit:
    """Factor on the hot allowable stress for an event, and the duration it is meant for."""

    factor: float
    condition: str


@dataclass(frozen=True, slots=True)
class Edition:
    """What changes from edition to edition.

    Attributes:
        name: As the project gives it, such as ``"2018"``.
        intensification: Where the edition takes intensification and flexibility factors from.
        cycle_law: The law of the stress range factor, in words.
        exponent: Exponent on the range ratio in the sum of cycles [-].
        notes: What is not certain about it.
    """

    name: str
    intensification: str
    cycle_law: str
    exponent: float
    notes: tuple[str, ...] = ()


Sustained = Callable[[Geometry, Forces, Factors, Array, str, Options], StressParts]
Range = Callable[[Geometry, Forces, Factors, str], StressParts]
Occasional = Callable[[Geometry, Forces, Forces, Factors, Array, str, Options], StressParts]


@dataclass(frozen=True, slots=True)
class StressCode:
    """A stress code.

    Attributes:
        title: As the project names it.
        editions: By name.
        sustained: (geometry, forces, factors, pressure, edition, options); the pressure's axial force is added.
        displacement_range: (geometry, ranges, factors, edition).
        occasional: (geometry, sustained forces, forces of the event alone, factors, pressure, edition, options);
            called once for each sign of the event.
        test: (geometry, forces, factors, test pressure, edition, options).
        largest_cycle_factor: (tensile strength [Pa], highest metal temperature [°C], material family) -> f_m.
        cycle_factor: (cycles, f_m, edition) -> f, shape (n,).
        cycles_allowed: (f, f_m, edition) -> cycles of a range that needs this factor, shape (n,).
        allowable_range: (f, S_c, S_h, S_L or None, E_hot/E_cold) -> the range allowed; without S_L the basic form.
            A NaN in S_L takes the basic form there, which always holds.
        limit_sustained: (S_h, W); W is the weld strength reduction factor at girth welds, one below creep.
        limit_occasional: (S_h, event).
        limit_test: (S_y).
        occasional_limits: Factor by event.
        clauses: Clause of every stress equation.
        limit_clauses: Clause of every limit.
        parts: Names of the three parts of a stress; an empty name is a part the code does not keep.
        worked: Functions whose formula lines, in order, lead from ``StressParts.inputs`` to the total. One whose
            inputs are NaN at a point does not act there.
        allowance_deducted: Whether the allowances are taken off the wall.
        notes: What the page must say about this code.
    """

    title: str
    editions: Mapping[str, Edition]
    sustained: Sustained
    displacement_range: Range
    occasional: Occasional
    test: Sustained
    largest_cycle_factor: Callable[[float, float, str], float]
    cycle_factor: Callable[[ArrayLike, ArrayLike, str], Array]
    cycles_allowed: Callable[[ArrayLike, ArrayLike, str], Array]
    allowable_range: Callable[[ArrayLike, ArrayLike, ArrayLike, ArrayLike | None, ArrayLike], AllowedRange]
    limit_sustained: Callable[[ArrayLike, ArrayLike], Array]
    limit_occasional: Callable[[ArrayLike, Event], Array]
    limit_test: Callable[[ArrayLike], Array]
    occasional_limits: Mapping[Event, OccasionalLimit]
    clauses: Mapping[Kind, str]
    limit_clauses: Mapping[Kind, str]
    parts: tuple[str, str, str]
    worked: Mapping[Kind, tuple[Function, ...]]
    allowance_deducted: Mapping[Kind, bool]
    notes: tuple[str, ...] = field(default=())

    def clause(self, kind: Kind, edition: str) -> str:
        """Code, edition and clause of a stress equation, to be printed beside the value."""
        return f"{self.title}-{self.editions[edition].name} {self.clauses[kind]}"

    def limit_clause(self, kind: Kind, edition: str) -> str:
        """Code, edition and clause of a limit."""
        return f"{self.title}-{self.editions[edition].name} {self.limit_clauses[kind]}"


def frozen_inputs(**symbols: object) -> Mapping[str, Array]:
    """Numbers by symbol as arrays, not to be changed."""
    return MappingProxyType({name: array_form(value) for name, value in symbols.items()})


def positive(values: ArrayLike) -> Array:
    """Allowables and strengths; NaN where one is not above zero."""
    numbers = np.asarray(values, dtype=float)
    return np.where(numbers > 0, numbers, np.nan)


def liberal_where_better(basic: Array, liberal: Array) -> AllowedRange:
    """The larger of both forms; the basic one where the liberal does not hold."""
    better = np.asarray(liberal > basic)
    return AllowedRange(np.where(better, liberal, basic), better)
