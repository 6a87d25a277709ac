"""Random sheets, written in random dialects, with random targets."""

import re
from xml.sax.saxutils import escape

from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from package_samples import SHEET, bare_book, unzipped, without

from pipecalc.problems import letters
from pipecalc.workbook.package import CellStyle, CellWrite, edit_workbook

ADDRESS = st.tuples(st.integers(1, 9), st.integers(1, 30))
TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufffe\uffff"), max_size=8)
PLAIN = TEXT.filter(lambda text: not re.search("_x[0-9A-Fa-f]{4}_", text))
NUMBER = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**9), 10**9)
VALUE = st.none() | st.booleans() | NUMBER | PLAIN
STYLE = st.none() | st.sampled_from([CellStyle(bold=True), CellStyle(number_format="0.0", fill="E2EFDA")])
OLD = st.tuples(st.sampled_from(["v", "f", "is", "none"]), st.integers(0, 99), st.booleans())
DIALECT = st.fixed_dictionaries(
    {
        "prefix": st.sampled_from(["", "x:", "main:"]),
        "addresses": st.booleans(),
        "blanks": st.booleans(),
        "remark": st.booleans(),
        "spans": st.booleans(),
        "quote": st.sampled_from("\"'"),
    }
)


def old_cell(address: tuple[int, int], old: tuple[str, int, bool], dialect: dict, implied: bool) -> str:
    p, quote = dialect["prefix"], dialect["quote"]
    kind, number, styled = old
    inner = {
        "v": f"<{p}v>{number}</{p}v>",
        "f": f"<{p}f>{number}+1</{p}f><{p}v>{number + 1}</{p}v>",
        "is": f"<{p}is><{p}t>{escape(f'<t{number}>')}</{p}t></{p}is>",
        "none": "",
    }[kind]
    attributes = "" if implied else f" r={quote}{letters(address[1])}{address[0]}{quote}"
    attributes += f" s={quote}0{quote}" if styled else ""
    attributes += f" t={quote}inlineStr{quote}" if kind == "is" else ""
    return f"<{p}c{attributes}>{inner}</{p}c>" if inner else f"<{p}c{attributes}/>"


def sheet_text(cells: dict[tuple[int, int], tuple[str, int, bool]], dialect: dict) -> str:
    p, quote = dialect["prefix"], dialect["quote"]
    blank = "\n  " if dialect["blanks"] else ""
    rows, last_row = [], 0
    for row in sorted({row for row, _ in cells}):
        texts, last = [], 0
        for column in sorted(column for r, column in cells if r == row):
            implied = not dialect["addresses"] and column == last + 1
            texts.append(blank + old_cell((row, column), cells[row, column], dialect, implied))
            last = column
        number = "" if not dialect["addresses"] and row == last_row + 1 else f" r={quote}{row}{quote}"
        spans = f" spans={quote}1:{last}{quote}" if dialect["spans"] else ""
        remark = "<!-- <c/> -->" if dialect["remark"] else ""
        rows.append(f"{blank}<{p}row{number}{spans}>{remark}{''.join(texts)}{blank}</{p}row>")
        last_row = row
    return f"<{p}sheetData>{''.join(rows)}{blank}</{p}sheetData>"


def addressed(sheet: bytes) -> bytes:
    """The sheet with every address written out, without blanks and remarks between elements."""
    root = etree.fromstring(sheet, etree.XMLParser(remove_blank_text=True, remove_comments=True))
    rows = root.find("{*}sheetData")
    if rows.text and not rows.text.strip():
        rows.text = None
    row_number = 0
    for row in root.iterfind("{*}sheetData/{*}row"):
        row_number = int(row.get("r", row_number + 1))
        row.set("r", str(row_number))
        column = 0
        for cell in row.iterfind("{*}c"):
            stated = re.sub(r"\d", "", cell.get("r", ""))
            column = next(n for n in range(1, 99) if letters(n) == stated) if stated else column + 1
            cell.set("r", f"{letters(column)}{row_number}")
    return etree.tostring(root)


def stored(sheet: bytes) -> dict[str, object]:
    """Values as the sheet's own text states them."""
    found: dict[str, object] = {}
    for cell in etree.fromstring(sheet).iter("{*}c"):
        kind, number = cell.get("t"), cell.findtext("{*}v")
        if kind == "inlineStr":
            found[cell.get("r")] = cell.findtext("{*}is/{*}t")
        elif number is not None:
            found[cell.get("r")] = number == "1" if kind == "b" else float(number)
    return found


@settings(max_examples=150)
@given(
    st.dictionaries(ADDRESS, OLD, max_size=25),
    st.dictionaries(ADDRESS, st.tuples(VALUE, STYLE), min_size=1, max_size=15),
    DIALECT,
)
def test_targets_take_their_values_and_nothing_else_moves(cells, targets, dialect):
    before = bare_book(sheet_text(cells, dialect), prefix=dialect["prefix"])
    writes = [CellWrite("Data", row, column, *target) for (row, column), target in targets.items()]
    after = edit_workbook(before, writes)
    old, new = (addressed(unzipped(data)[SHEET]) for data in (before, after))

    names = {f"{letters(column)}{row}": value for (row, column), (value, _) in targets.items()}
    assert without(old, names) == without(new, names)
    found = stored(new)
    assert {name: found.get(name) for name in names} == names

    rows = [int(row.get("r")) for row in etree.fromstring(new).iter("{*}row")]
    assert rows == sorted(set(rows))
    for row in etree.fromstring(new).iter("{*}row"):
        order = [(len(cell.get("r")), cell.get("r")) for cell in row]
        assert order == sorted(set(order))
    assert edit_workbook(after, writes) == after
