"""The shell, the nozzle on it, and the load where they meet."""

from dataclasses import dataclass
from math import isfinite, nan, sqrt

from pipecalc.calc import shell_load
from pipecalc.model import Vector
from pipecalc.results import NozzleLoad

CYLINDER = "cylinder"
SPHERE = "sphere"
#: A pad counts up to this share of the shell's thickness. EN 13445-3 clause 9.5, from memory.
THICKEST_PAD = 1.5


@dataclass(frozen=True, slots=True)
class Shell:
    """A shell at the place in question.

    Attributes:
        shape: ``"cylinder"`` or ``"sphere"``; a head counts as a sphere of twice its crown radius.
        outside_diameter: [m].
        thickness: Without corrosion allowance and under-tolerance [m].
        allowable: Allowable stress at temperature [Pa].
    """

    shape: str
    outside_diameter: float
    thickness: float
    allowable: float

    @property
    def mean_diameter(self) -> float:
        """[m]."""
        return self.outside_diameter - self.thickness

    @property
    def inside_radius(self) -> float:
        """[m]."""
        return self.outside_diameter / 2 - self.thickness


@dataclass(frozen=True, slots=True)
class Branch:
    """A nozzle on the shell.

    Attributes:
        outside_diameter: [m].
        thickness: Without corrosion allowance and under-tolerance [m].
        allowable: Allowable stress at temperature [Pa].
        projection: From the shell to the flange face [m]; NaN where not known.
        pad_thickness: [m]; 0 for no pad.
        pad_width: From the nozzle's outside to the pad's edge [m]; NaN where not known.
        pad_allowable: Allowable stress of the pad [Pa].
        clearance: To the next nozzle, seam of a head or other discontinuity [m]; NaN where not known.
    """

    outside_diameter: float
    thickness: float
    allowable: float
    projection: float = nan
    pad_thickness: float = 0.0
    pad_width: float = nan
    pad_allowable: float = nan
    clearance: float = nan

    @property
    def mean_diameter(self) -> float:
        """[m]."""
        return self.outside_diameter - self.thickness


@dataclass(frozen=True, slots=True)
class ShellLoad:
    """Load on the shell where the nozzle's axis meets it.

    Attributes:
        radial: Outward positive [N].
        circumferential: Moment that bends towards the circumference; its vector lies along the cylinder [N·m].
        longitudinal: Moment that bends along the cylinder; its vector lies across [N·m].
    """

    radial: float
    circumferential: float
    longitudinal: float


def load_at_shell(load: NozzleLoad, projection: float) -> ShellLoad:
    """A nozzle's load moved from the flange face to the shell.

    Axes R outward, L along the cylinder, C = R x L::

            C (around)                 A force along L at the face, p from the shell:
            ^                          r x F = p R x F_L L = p F_L C, a longitudinal moment.
            |   nozzle, p long         A force along C:
            |  =========> R            r x F = p R x F_C C = -p F_C L, a circumferential moment.
            | /
            L

    A moment ABOUT L bends the nozzle around the shell: it is the circumferential moment. A moment ABOUT C bends it
    along the shell: the longitudinal moment. Vendors' drawings may name them the other way round.

    Args:
        load: Pipe's action on the nozzle at the flange face.
        projection: From the shell to the flange face [m].

    Returns:
        Radial force and the two moments at the shell.
    """
    return ShellLoad(
        load.FR,
        shell_load.circumferential_moment(load.ML, load.FC, projection),
        shell_load.longitudinal_moment(load.MC, load.FL, projection),
    )


def attachment_load(force: Vector, moment: Vector, axes: tuple[Vector, Vector, Vector], arm: float) -> ShellLoad:
    """A support's load moved from where the pipe rests to the shell.

    Args:
        force: Pipe's action on the support, East, North, Up [N].
        moment: Likewise [N·m].
        axes: Unit vectors R outward from the shell, L along the cylinder, C = R x L.
        arm: From the shell to where the load acts [m].

    Returns:
        Radial force and the two moments at the shell.
    """
    FR, FL, FC = (sum(f * a for f, a in zip(force, axis, strict=True)) for axis in axes)
    _, ML, MC = (sum(m * a for m, a in zip(moment, axis, strict=True)) for axis in axes)
    return ShellLoad(FR, shell_load.circumferential_moment(ML, FC, arm), shell_load.longitudinal_moment(MC, FL, arm))


def missing_data(shell: Shell, branch: Branch) -> str:
    """What the shell check lacks, in words; empty where everything is there."""
    needed = {
        "outside diameter of the shell": shell.outside_diameter,
        "thickness of the shell": shell.thickness,
        "allowable stress of the shell": shell.allowable,
        "outside diameter of the nozzle": branch.outside_diameter,
        "thickness of the nozzle": branch.thickness,
        "allowable stress of the nozzle": branch.allowable,
    }
    lacking = [what for what, value in needed.items() if not (isfinite(value) and value > 0)]
    return f"not known: {', '.join(lacking)}" if lacking else ""


@dataclass(frozen=True, slots=True)
class Pad:
    """What of a pad counts: thickness and width [m], and a remark; thickness 0 where nothing counts."""

    thickness: float
    width: float
    allowable: float
    remark: str = ""


def effective_pad(shell: Shell, branch: Branch) -> Pad:
    """The pad as it counts: not at all where it is narrower than effective, up to 1.5 times the shell's thickness.

    Effective is a width of sqrt(D (e_a + e_p)) on a cylinder and sqrt(R (e_a + e_p)) on a sphere.

    Source: EN 13445-3 clause 16.4 and 16.5, from memory; a narrower pad is left out, to the safe side.
    """
    if not branch.pad_thickness > 0:
        return Pad(0.0, 0.0, nan)
    if not (isfinite(branch.pad_width) and isfinite(branch.pad_allowable)):
        return Pad(0.0, 0.0, nan, "pad not counted: its width or allowable stress is not known")
    thickness = min(branch.pad_thickness, THICKEST_PAD * shell.thickness)
    size = shell.mean_diameter if shell.shape == CYLINDER else shell.mean_diameter / 2
    needed = sqrt(size * (shell.thickness + thickness))
    if branch.pad_width < needed:
        narrow = f"{branch.pad_width * 1e3:.0f} mm wide, {needed * 1e3:.0f} mm needed"
        return Pad(0.0, 0.0, nan, f"pad not counted: narrower than effective ({narrow})")
    cut = "" if thickness == branch.pad_thickness else "pad counted with 1.5 times the shell's thickness"
    return Pad(thickness, branch.pad_width, branch.pad_allowable, cut)
