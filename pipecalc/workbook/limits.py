"""How large a workbook may be: the one place where every bound stands.

The bounds leave room for several times a large project (500 lines, 20,000 runs, 2,000 nozzles, 6,000 supports) and
keep a damaged or hostile file from taking all memory. Each is held against what a file declares, or counts in a
pass that keeps nothing, before anything of that size is built.
"""

from collections.abc import Iterator, Mapping

from pipecalc.problems import FileUnusable

# The file as it lies on the disk.
MAX_FILE = 200_000_000  # bytes
MAX_PARTS = 20_000
MAX_DIRECTORY = 8_000_000  # bytes of the list of parts; a part's name takes some hundred at most

# Unpacked. Deflate cannot pack tighter than 1 : 1032; sheets of equal rows reach 1 : 350.
MAX_PART = 400_000_000  # bytes
MAX_UNPACKED = 600_000_000  # bytes
MAX_RATIO = 500  # of a part to its packed bytes
RATIO_FROM = 1_000_000  # bytes unpacked; below, the ratio does no harm

# XML, before a tree is built of it.
MAX_PROLOG = 65_536  # bytes before the first element
MAX_TAGS = 1_000_000  # tags of a part, or of one row of a sheet
MAX_SHEET_TAGS = 12_000_000  # tags of a sheet that is not written in the plain way

# Sheets. The first two are those of the file format (ECMA-376 names none; common practice of spreadsheet programs).
MAX_ROW = 1_048_576
MAX_COLUMN = 16_384
MAX_CELLS = 4_000_000  # last row times last column of a sheet
MAX_ALL_CELLS = 8_000_000  # of all sheets that are read
MAX_STRING = 32_767  # characters in a cell; common practice of spreadsheet programs
MAX_STRINGS = 900_000  # texts in the table of shared texts
MAX_TEXT = 300_000_000  # bytes of the texts that the cells of all sheets hold together

# Numbers, in SI units; zero aside. Far beyond any pipe, and near enough to 1 for products of several to stay finite.
SMALLEST = 1e-30
LARGEST = 1e30

# The plant.
MAX_ROWS: Mapping[str, int] = {
    "Lines": 10_000,
    "Segments": 200_000,
    "Nozzles": 20_000,
    "Supports": 60_000,
    "Studies": 1_000,
}
MAX_ROWS_ELSEWHERE = 50_000
MAX_STATES = 50  # ranges are found between every two of them
MAX_OCCASIONAL_LOADS = 100  # occasional point loads, each a case of its own
MAX_VALUES = 10_000  # of one study variable
MAX_RUNS = 100_000  # runs of one study, with the user's consent


def too_large(name: str, what: str, found: int, most: int) -> FileUnusable:
    """The refusal of a file, with what was found and what is accepted."""
    return FileUnusable("too-large", f"{name} is too large: {found:,} {what}; accepted: at most {most:,}")


def table() -> Iterator[tuple[str, int, str]]:
    """What is bounded, how far and in which unit, for the reference."""
    yield "File", MAX_FILE, "bytes"
    yield "Parts in the file", MAX_PARTS, ""
    yield "Unpacked, one part", MAX_PART, "bytes"
    yield "Unpacked, all parts", MAX_UNPACKED, "bytes"
    yield f"Unpacked to packed bytes of a part over {RATIO_FROM:,} bytes", MAX_RATIO, ": 1"
    yield "Last row times last column of a sheet", MAX_CELLS, "cells"
    yield "The same, all sheets that are read", MAX_ALL_CELLS, "cells"
    yield "Text in a cell", MAX_STRING, "characters"
    yield "Different texts in the file", MAX_STRINGS, ""
    yield "Text in all cells together", MAX_TEXT, "bytes"
    for title, most in MAX_ROWS.items():
        yield f"Rows of {title}", most, ""
    yield "Rows of any other sheet", MAX_ROWS_ELSEWHERE, ""
    yield "Thermal states", MAX_STATES, ""
    yield "Occasional point loads", MAX_OCCASIONAL_LOADS, ""
    yield "Values of a study variable", MAX_VALUES, ""
    yield "Runs of a study, with --yes", MAX_RUNS, ""
