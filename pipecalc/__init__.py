"""Piping flexibility, supports and nozzle loads: from a workbook to a calculation note."""

from typing import TYPE_CHECKING

from pipecalc.version import __version__

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pipecalc.job import Run
    from pipecalc.making import Checked

__all__ = ["__version__", "check", "run"]


def _silent(_: str) -> None:
    """No progress display."""


def run(
    path: "Path | str",
    output: "Path | str | None" = None,
    *,
    in_place: bool = False,
    pdf: bool = True,
    advice: bool = False,
    studies: bool = False,
    progress: "Callable[[str], None]" = _silent,
) -> "Run":
    """Run one workbook; see :func:`pipecalc.job.run`."""
    from pipecalc import job

    return job.run(path, output, in_place=in_place, pdf=pdf, advice=advice, studies=studies, progress=progress)


def check(path: "Path | str") -> "Checked":
    """Read and validate one workbook; see :func:`pipecalc.job.check`."""
    from pipecalc import job

    return job.check(path)
