"""Valid workbooks changed at random: values, units, tags, rows, sheets, merged cells, bytes of the file.

A mutant is told by its number alone: the same number gives the same bytes.
"""

import io
import random
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

from books import book_bytes
from lxml import etree

from pipecalc.workbook.blank import blank_bytes
from tests.properties.frame_books import random_book

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
STAMP = (2025, 1, 1, 0, 0, 0)

NUMBERS = (
    "0", "-0", "1", "-1", "1e308", "-1e308", "1e-308", "5e-324", "1e400", "1e9", "1e-9", "0.1", "1000000",
    "-273.15", "-300", "3.5e38", "45000", "2147483648", "99999999999999999999", "1.5", "12", "89.9999999", "90",
    "360", "NaN", "INF", "abc",
)  # fmt: skip
WORDS = (
    "", " ", "0", "-", "n/a", "yes", "no", "TRUE", "x" * 40, "x" * 32767, "=1+1", "=HYPERLINK(\"http://x\")",
    "+1", "-1+2", "@SUM(A1)", "\t=1", "4 in", "4in", "1,5", "1 234", "1'234.5", "10 mm", "10 parsec", "1e5 Pa",
    "12 bar(g)", "100 °C", "100 F", "-500 °C", "ß", "É", "\u0645\u0631\u062d\u0628\u0627", "\u202eabc",
    "a\u0301", "\U0001f600", "\u200b", "\ufeff", "_x0000_", "_x000D_", "a\nb", "<script>alert(1)</script>",
    "&amp;", "]]>", "{{ 7*7 }}", "{% for %}", "../../etc/passwd", "C:\\x", "CON", "NUL", "'quoted'", '"',
    "#REF!", "#N/A", "1/2", "2026-11-30", "30.11.2026", "PIPE", "elbow", "tee", "rest", "anchor", "ASME B31.3",
    "US", "SI", "N", "E",
)  # fmt: skip
TITLES = ("", "Length", "Line", "line", "From", "Temperature", "Foo", "Outside diameter", "x" * 300, "=1", "Lïne")
UNITS = (
    "", "mm", "m", "in", "ft", "bar", "psi", "°C", "°F", "K", "N", "lbf", "kg", "furlong", "mm/mm", "1e6",
    "m^2", "%", "N·m", "MPa", "=A1",
)  # fmt: skip


@dataclass
class Package:
    """Members of a workbook under change, and what was done to it."""

    members: dict[str, bytes]
    said: list[str] = field(default_factory=list)
    trees: dict[str, etree._Element] = field(default_factory=dict)
    order: list[str] = field(default_factory=list)

    def tree(self, name: str) -> etree._Element:
        """The parsed member, written back at the end."""
        if name not in self.trees:
            self.trees[name] = etree.fromstring(self.members[name])
        return self.trees[name]

    def packed(self) -> bytes:
        """The file."""
        for name, tree in self.trees.items():
            self.members[name] = etree.tostring(tree, xml_declaration=True, encoding="UTF-8", standalone=True)
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
            for name in self.order or list(self.members):
                archive.writestr(zipfile.ZipInfo(name, STAMP), self.members[name])
        return out.getvalue()


Change = Callable[[random.Random, Package], str]


@cache
def _bases() -> tuple[tuple[str, int, dict[str, bytes]], ...]:
    """Name, weight and members of each valid workbook."""
    found = [("l-line-us", 12, blank_bytes("US", "l-line-us")), ("mistakes", 1, blank_bytes("SI", "mistakes"))]
    found += [(f"random {seed}", 4, book_bytes(random_book(seed))) for seed in (1, 2, 3, 5)]
    found.append(("geothermal-heat", 1, blank_bytes("SI", "geothermal-heat")))
    return tuple((name, weight, _members(data)) for name, weight, data in found)


def _members(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {i.filename: archive.read(i) for i in archive.infolist()}


def mutant(number: int) -> tuple[bytes, str]:
    """The file with this number, and what it is."""
    rng = random.Random(number)  # noqa: S311 - not for secrets
    bases = _bases()
    name, _, members = rng.choices(bases, [b[1] for b in bases])[0]
    package = Package(dict(members), [name])
    wanted = rng.choices([c for c, _ in CHANGES], [w for _, w in CHANGES], k=rng.choice((1, 1, 1, 2, 2, 3, 5, 12)))
    for change in sorted(wanted, key=(change_members, spoil_text).count):  # what breaks the text comes last
        package.said.append(change(rng, package))
    data = package.packed()
    if rng.random() < 0.04:
        data, said = _spoiled(rng, data)
        package.said.append(said)
    return data, "; ".join(package.said)


def _spoiled(rng: random.Random, data: bytes) -> tuple[bytes, str]:
    """Bytes of the file changed after packing."""
    kind = rng.randrange(5)
    if kind == 0:
        cut = rng.randrange(len(data))
        return data[:cut], f"cut after {cut} bytes"
    if kind == 1:
        spoiled = bytearray(data)
        for _ in range(rng.choice((1, 3, 30))):
            spoiled[rng.randrange(len(spoiled))] ^= 1 << rng.randrange(8)
        return bytes(spoiled), "bits turned"
    if kind == 2:
        at, size = rng.randrange(len(data)), rng.randrange(1, 2000)
        return data[:at] + bytes(size) + data[at + size :], f"{size} zero bytes at {at}"
    if kind == 3:
        return rng.randbytes(rng.randrange(1, 500)) + data, "something in front"
    return data + rng.randbytes(rng.randrange(1, 500)), "something behind"


def _sheets(package: Package) -> list[str]:
    return [n for n in package.members if n.startswith("xl/worksheets/sheet")]


def _inputs(package: Package) -> list[str]:
    """Sheets with input rows; the guide and the lists are changed less often."""
    return [n for n in _sheets(package) if n[19:-4] not in ("1", "16")] or list(package.members)[:1]


def _rows(package: Package, rng: random.Random) -> tuple[str, list[etree._Element]]:
    names = _inputs(package)
    for _ in range(20):
        name = rng.choice(names)
        rows = list(package.tree(name).iter(f"{MAIN}row"))
        if any(r.findtext(f".//{MAIN}t") or r.findtext(f".//{MAIN}v") for r in rows[2:]):
            return name, rows
    return name, rows


def _cell(rng: random.Random, package: Package, filled: float = 0.8) -> tuple[str, etree._Element] | None:
    name, rows = _rows(package, rng)
    cells = [c for r in rows[2:] or rows for c in r.iter(f"{MAIN}c")]
    with_value = [c for c in cells if len(c)]
    if not cells:
        return None
    return name, rng.choice(with_value if with_value and rng.random() < filled else cells)


def _put(cell: etree._Element, kind: str, words: str) -> None:
    for child in list(cell):
        cell.remove(child)
    cell.attrib.pop("t", None)
    if kind == "text":
        cell.set("t", "inlineStr")
        inside = etree.SubElement(etree.SubElement(cell, f"{MAIN}is"), f"{MAIN}t")
        inside.text = "".join(c for c in words if c >= " " or c in "\t\n")
        return
    if kind == "formula":
        etree.SubElement(cell, f"{MAIN}f").text = words.lstrip("=") or "1"
    elif kind != "number":
        cell.set("t", kind)
    etree.SubElement(cell, f"{MAIN}v").text = words


def change_value(rng: random.Random, package: Package) -> str:
    """Another value of any kind in a cell."""
    found = _cell(rng, package)
    if found is None:
        return "nothing to change"
    name, cell = found
    kind = rng.choices(("number", "text", "b", "e", "s", "str", "d", "formula", "weird"), (8, 8, 1, 1, 1, 1, 1, 1, 1))[
        0
    ]
    words = {
        "number": rng.choice(NUMBERS),
        "text": rng.choice(WORDS),
        "b": rng.choice("01x"),
        "e": rng.choice(("#REF!", "#N/A", "#DIV/0!", "x")),
        "s": rng.choice(("0", "-1", "999999", "x")),
        "str": rng.choice(WORDS[:20]),
        "d": rng.choice(("2026-11-30", "0000-00-00", "x")),
        "formula": rng.choice(("A1", "1/0", "SUM(", "x" * 9000)),
        "weird": rng.choice(NUMBERS),
    }[kind]
    _put(cell, kind, words)
    return f"{name} {cell.get('r')} = {kind} {words[:30]!r}"


def scale_number(rng: random.Random, package: Package) -> str:
    """A number made larger, smaller, opposite or slightly different."""
    name, rows = _rows(package, rng)
    cells = [c for r in rows[2:] for c in r.iter(f"{MAIN}c") if c.get("t", "n") == "n" and c.findtext(f"{MAIN}v")]
    if not cells:
        return "no number"
    cell = rng.choice(cells)
    value = cell.find(f"{MAIN}v")
    factor = rng.choice((-1.0, 0.0, 1e-12, 1e-6, 1e-3, 0.1, 0.5, 0.999, 1.001, 2.0, 10.0, 1e3, 1e6, 1e12, 1e300))
    try:
        value.text = repr(float(value.text) * factor)
    except ValueError:
        value.text = "1"
    return f"{name} {cell.get('r')} times {factor}"


def blank_cell(rng: random.Random, package: Package) -> str:
    """A value taken away."""
    found = _cell(rng, package, 1.0)
    if found is None:
        return "nothing to blank"
    name, cell = found
    for child in list(cell):
        cell.remove(child)
    return f"{name} {cell.get('r')} blanked"


def swap_cells(rng: random.Random, package: Package) -> str:
    """Two values of a sheet exchanged, tags and references among them."""
    first, second = _cell(rng, package, 1.0), _cell(rng, package, 1.0)
    if first is None or second is None:
        return "nothing to swap"
    a, b = first[1], second[1]
    kids_a, kids_b, type_a, type_b = list(a), list(b), a.get("t"), b.get("t")
    for one, kids, kind in ((a, kids_b, type_b), (b, kids_a, type_a)):
        for child in list(one):
            one.remove(child)
        one.extend(kids)
        one.attrib.pop("t", None)
        if kind:
            one.set("t", kind)
    return f"{first[0]} {a.get('r')} and {second[0]} {b.get('r')} exchanged"


def copy_cell(rng: random.Random, package: Package) -> str:
    """A value of a column copied into another row: duplicate tags, lines that meet themselves."""
    name, rows = _rows(package, rng)
    cells = [c for r in rows[2:] for c in r.iter(f"{MAIN}c") if len(c)]
    if len(cells) < 2:
        return "nothing to copy"
    a = rng.choice(cells)
    column = a.get("r", "").rstrip("0123456789")
    same = [c for c in cells if c.get("r", "").rstrip("0123456789") == column] or cells
    b = rng.choice(same)
    if a is b:
        return "copied onto itself"
    for child in list(b):
        b.remove(child)
    b.extend([etree.fromstring(etree.tostring(child)) for child in a])
    b.attrib.pop("t", None)
    if a.get("t"):
        b.set("t", a.get("t"))
    return f"{name} {a.get('r')} copied to {b.get('r')}"


def _renumber(tree: etree._Element) -> None:
    for n, row in enumerate(tree.iter(f"{MAIN}row"), 1):
        row.set("r", str(n))
        for cell in row.iter(f"{MAIN}c"):
            cell.set("r", cell.get("r", "A1").rstrip("0123456789") + str(n))


def change_rows(rng: random.Random, package: Package) -> str:
    """A row deleted, doubled, moved; mostly numbered anew, sometimes left as they are."""
    name, rows = _rows(package, rng)
    if not rows:
        return "no rows"
    row = rng.choice(rows[2:] or rows) if rng.random() < 0.92 else rng.choice(rows)
    parent, what = row.getparent(), rng.choice(("deleted", "doubled", "moved", "emptied", "reversed"))
    if what == "deleted":
        parent.remove(row)
    elif what == "doubled":
        row.addnext(etree.fromstring(etree.tostring(row)))
    elif what == "moved":
        parent.remove(row)
        parent.insert(rng.randrange(min(2, len(parent)), len(parent) + 1), row)
    elif what == "emptied":
        for child in list(row):
            row.remove(child)
    else:
        for child in list(row):
            row.insert(0, child)
    told = rng.random() < 0.9
    if told:
        _renumber(package.tree(name))
    return f"{name} row {row.get('r')} {what}{'' if told else ', numbers kept'}"


def change_head(rng: random.Random, package: Package) -> str:
    """A title or a unit changed."""
    name, rows = _rows(package, rng)
    if len(rows) < 2:
        return "no head"
    which = rng.randrange(2)
    cells = list(rows[which].iter(f"{MAIN}c"))
    if not cells:
        return "no head"
    cell = rng.choice(cells)
    words = rng.choice((TITLES, UNITS)[which])
    _put(cell, "text", words)
    return f"{name} {cell.get('r')} head {words[:20]!r}"


def change_reference(rng: random.Random, package: Package) -> str:
    """The address of a cell or row made odd."""
    found = _cell(rng, package)
    if found is None:
        return "no address"
    name, cell = found
    odd = rng.choice(("A0", "", "ZZZZ1", "A1048577", "XFD1048576", "1A", "A-1", "a3", "B3", "A99999999999999999999"))
    target = cell if rng.random() < 0.7 else cell.getparent()
    old = target.get("r")
    target.set("r", odd)
    return f"{name} address {old} -> {odd}"


def merge_cells(rng: random.Random, package: Package) -> str:
    """Merged cells."""
    name = rng.choice(_inputs(package))
    tree = package.tree(name)
    data = tree.find(f"{MAIN}sheetData")
    if data is None:
        return "no data"
    merged = etree.Element(f"{MAIN}mergeCells")
    area = rng.choice(("A1:B1", "A1:A2", "A3:A6", "B3:F3", "A2:Z2", "A1:XFD1048576", "B2", "Z9:A1", "", "A3:B4"))
    etree.SubElement(merged, f"{MAIN}mergeCell").set("ref", area)
    data.addnext(merged)
    return f"{name} merged {area}"


def change_sheets(rng: random.Random, package: Package) -> str:
    """A sheet renamed, left out, doubled or hidden."""
    sheets = package.tree("xl/workbook.xml").find(f"{MAIN}sheets")
    if sheets is None or not len(sheets):
        return "no sheets"
    sheet = rng.choice(list(sheets))
    what = rng.choice(("renamed", "left out", "doubled", "hidden", "swapped", "moved"))
    if what == "renamed":
        sheet.set(
            "name",
            rng.choice(("Lines", "lines", "Segments ", "Sheet1", "Result", "x" * 40, "a/b", "Loads", "Stresses")),
        )
    elif what == "left out":
        sheets.remove(sheet)
    elif what == "doubled":
        sheet.addnext(etree.fromstring(etree.tostring(sheet)))
    elif what == "hidden":
        sheet.set("state", rng.choice(("hidden", "veryHidden", "odd")))
    elif what == "swapped":
        other = rng.choice(list(sheets))
        a, b = sheet.get("name", ""), other.get("name", "")
        sheet.set("name", b)
        other.set("name", a)
    else:
        sheets.remove(sheet)
        sheets.insert(rng.randrange(len(sheets) + 1), sheet)
    return f"sheet {sheet.get('name')} {what}"


def change_members(rng: random.Random, package: Package) -> str:
    """A member of the file lost, doubled, emptied or filled with something else."""
    name = rng.choice(list(package.members))
    package.trees.pop(name, None)
    what = rng.choice(("lost", "emptied", "cut", "foreign", "renamed", "bytes"))
    if what == "lost":
        del package.members[name]
    elif what == "emptied":
        package.members[name] = b""
    elif what == "cut":
        package.members[name] = package.members[name][: rng.randrange(len(package.members[name]) + 1)]
    elif what == "foreign":
        package.members[name] = rng.choice(
            (
                b"<a/>",
                b"\x00\x01",
                b"<?xml version='1.0'?><!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>",
                b"plain",
                b"\xff\xfe<\x00",
            )
        )
    elif what == "renamed":
        package.members[rng.choice(("../x", "/abs", "xl/Workbook.xml", "con", "a" * 300))] = package.members.pop(name)
    else:
        package.members[name] = rng.randbytes(200)
    return f"member {name} {what}"


def spoil_text(rng: random.Random, package: Package) -> str:
    """A piece of a member's text changed, whatever it means."""
    name = rng.choice(
        [*_sheets(package), "xl/workbook.xml", "xl/styles.xml", "xl/_rels/workbook.xml.rels", "[Content_Types].xml"]
    )
    if name not in package.members:
        return "gone"
    text = package.members[name]
    if name in package.trees:
        text = etree.tostring(package.trees.pop(name))
    at = rng.randrange(len(text) + 1)
    piece = rng.choice((b"", b"<", b">", b'"', b"&", b"\x00", b"<c/>", b"</row>", b"0", b"-", b"\xc3"))
    package.members[name] = text[:at] + piece + text[at + rng.choice((0, 1, 1, 5, 40)) :]
    return f"{name} {piece!r} at {at}"


CHANGES: tuple[tuple[Change, int], ...] = (
    (change_value, 24),
    (scale_number, 44),
    (blank_cell, 12),
    (swap_cells, 6),
    (copy_cell, 10),
    (change_rows, 12),
    (change_head, 4),
    (change_reference, 2),
    (merge_cells, 1),
    (change_sheets, 3),
    (change_members, 1),
    (spoil_text, 1),
)
