"""How long the command line takes to start, as ratios to a bare interpreter and to importing everything."""

import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

SAMPLE = Path(__file__).parents[2] / "sample_inputs" / "geothermal-heat.xlsx"
EVERYTHING = "import pint, pandas, openpyxl, scipy, fluids, chemicals, jinja2, weasyprint"
WITHOUT_PANDAS = EVERYTHING.replace("pandas, ", "")
ROUNDS = 7


def seconds(*arguments: str) -> float:
    """Median wall time of a Python process."""
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        subprocess.run([sys.executable, *arguments], check=False, capture_output=True)
        times.append(perf_counter() - start)
    return median(times)


def main() -> None:
    """Print the report."""
    try:
        import pandas  # noqa: F401

        everything = EVERYTHING
    except ImportError:
        everything = WITHOUT_PANDAS
    bare = seconds("-c", "pass")
    whole = seconds("-c", everything)
    print(f"bare interpreter {bare * 1e3:.0f} ms; importing everything {whole * 1e3:.0f} ms ({everything})")
    for words in (("--version",), ("--help",)):
        found = seconds("-m", "pipecalc", *words)
        print(f"{words[0]:<10} {found * 1e3:6.0f} ms  {found / bare:5.1f} x bare (goal: at most 6)")
    with tempfile.TemporaryDirectory():
        found = seconds("-m", "pipecalc", "check", str(SAMPLE))
    print(f"{'check':<10} {found * 1e3:6.0f} ms  {found / whole:5.2f} x everything (goal: at most 0.5)")


if __name__ == "__main__":
    main()
