"""The sample plants run once for all tests that look at a finished note."""

import atexit
from functools import cache
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp

import pipecalc
from pipecalc.job import Run

SAMPLES = Path(__file__).parents[2] / "sample_inputs"


@cache
def run_of(name: str) -> Run:
    folder = mkdtemp(prefix="pipecalc-")
    atexit.register(rmtree, folder, ignore_errors=True)
    return pipecalc.run(SAMPLES / f"{name}.xlsx", folder)
