"""The sample plants run once for all tests that look at a finished note."""

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pipecalc
from pipecalc.job import Run

SAMPLES = Path(__file__).parents[2] / "sample_inputs"


@cache
def run_of(name: str) -> Run:
    return pipecalc.run(SAMPLES / f"{name}.xlsx", mkdtemp(prefix="pipecalc-"))
