"""The demo from command to PDF: parts, ratios, peak memory, and milliseconds a page."""

import subprocess
import sys
import tempfile
from itertools import pairwise
from pathlib import Path
from statistics import median
from time import perf_counter

import pipecalc

SAMPLE = Path(__file__).parents[2] / "sample_inputs" / "geothermal-heat.xlsx"

#: A plain dense page of the same library: a table of 250 cells and a drawing of 115 elements.
_CELL = "<td>12.34</td>"
_ROW = f"<tr>{_CELL * 10}</tr>"
_DRAWING = (
    "<svg viewBox='0 0 100 100'>" + "".join(f"<line x1='{n}' y1='0' x2='0' y2='{n}'/>" for n in range(115)) + "</svg>"
)
_PAGE = f"<section style='page-break-after:always'><table>{_ROW * 25}</table>{_DRAWING}</section>"


def plain_page() -> float:
    """Seconds a dense plain page takes on this machine in this run."""
    from weasyprint import HTML

    start = perf_counter()
    HTML(string=_PAGE * 20).write_pdf()
    return (perf_counter() - start) / 20


def main() -> None:
    """Print the report."""
    import pypdfium2

    marks: list[tuple[str, float]] = []
    with tempfile.TemporaryDirectory() as folder:
        pipecalc.run(SAMPLE, folder, progress=lambda step: marks.append((step, perf_counter())))  # caches filled
        marks.clear()
        done = pipecalc.run(SAMPLE, folder, progress=lambda step: marks.append((step, perf_counter())))
        marks.append(("end", perf_counter()))
        if done.note is None:
            print(done.lacks)
            return
        pages = len(pypdfium2.PdfDocument(done.note))
        size = done.note.stat().st_size
    parts = {name: after - at for (name, at), (_, after) in pairwise(marks)}
    for name, spent in parts.items():
        print(f"{name:<22} {spent:7.3f} s")
    printing = parts["printing the note"]
    work = parts["computing"] + parts["preparing the workbook"] + parts["writing the workbook"]
    plain = median(plain_page() for _ in range(3))
    print(f"computing and write-back over printing: {work / printing:.3f} (goal: below 0.1)")
    print(f"{pages} pages, {size / 1e6:.2f} MB, {printing / pages * 1e3:.0f} ms a page (goal: at most 150)")
    print(f"a plain dense page: {plain * 1e3:.0f} ms; ratio {printing / pages / plain:.2f} (goal: at most 0.65)")
    print(f"peak memory {peak_memory():.0f} MB (goal: below 500)")


def peak_memory() -> float:
    """Largest resident size of one run of the demo as a command of its own [MB]; 0 where the system does not tell."""
    try:
        import resource
    except ImportError:
        return 0.0
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "pipecalc", "run", str(SAMPLE), "--output", folder, "--quiet"]
        subprocess.run(command, check=True)
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024


if __name__ == "__main__":
    main()
