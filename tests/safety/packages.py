"""Workbooks whose zip file or XML is not what it says."""

import struct
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from tests.workbook.books import book_bytes, small_plant

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
SEGMENTS = "xl/worksheets/sheet4.xml"
Change = Callable[[bytes], bytes]


def changed(changes: Mapping[str, Change] | None = None, extra: Mapping[str, bytes] | None = None, **more) -> bytes:
    """A small plant's workbook with some parts changed and others added."""
    stream = BytesIO()
    with ZipFile(BytesIO(book_bytes(small_plant(), **more))) as old, ZipFile(stream, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, (changes or {}).get(name, lambda same: same)(data))
        for name, data in (extra or {}).items():
            new.writestr(name, data)
    return stream.getvalue()


def with_shared(strings: bytes, rows: bytes, encoding: str = "utf-8") -> bytes:
    """A workbook with a table of shared texts, and rows that follow the last one of Segments."""
    relation = (
        b'<Relationship Id="rId99" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"'
        b' Target="sharedStrings.xml"/></Relationships>'
    )
    kind = (
        b'<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument'
        b'.spreadsheetml.sharedStrings+xml"/></Types>'
    )
    table = f'<?xml version="1.0" encoding="{encoding}"?><sst xmlns="{MAIN}">{strings.decode()}</sst>'
    return changed(
        {
            "xl/_rels/workbook.xml.rels": lambda xml: xml.replace(b"</Relationships>", relation),
            "[Content_Types].xml": lambda xml: xml.replace(b"</Types>", kind),
            SEGMENTS: lambda xml: xml.replace(b"</sheetData>", rows + b"</sheetData>"),
        },
        {"xl/sharedStrings.xml": table.encode(encoding)},
    )


@dataclass
class Raw:
    """One entry of a zip file, every number as we please."""

    name: str
    packed: bytes
    size: int
    method: int = 8
    crc: int = 0
    offset: int | None = None


def raw_zip(entries: list[Raw], *, comment: bytes = b"", behind: bytes = b"") -> bytes:
    """A zip file of such entries."""
    out, directory = b"", b""
    for e in entries:
        offset = len(out) if e.offset is None else e.offset
        shared = struct.pack("<HHHHLLL", 0, e.method, 0, 33, e.crc, len(e.packed), e.size)
        name = e.name.encode()
        if e.offset is None:
            out += b"PK\x03\x04" + struct.pack("<H", 20) + shared + struct.pack("<HH", len(name), 0) + name + e.packed
        directory += b"PK\x01\x02" + struct.pack("<HH", 20, 20) + shared
        directory += struct.pack("<HHHHHLL", len(name), 0, 0, 0, 0, 0, offset) + name
    end = struct.pack("<HHHHLLH", 0, 0, len(entries), len(entries), len(directory), len(out), len(comment))
    return out + directory + b"PK\x05\x06" + end + comment + behind


def entries_of(data: bytes) -> list[Raw]:
    """The entries of a sound zip file."""
    with ZipFile(BytesIO(data)) as package:
        found = []
        for info in package.infolist():
            content = package.read(info)
            found.append(Raw(info.filename, deflated(content), len(content), crc=zlib.crc32(content)))
    return found


def deflated(content: bytes) -> bytes:
    deflate = zlib.compressobj(6, zlib.DEFLATED, -15)
    return deflate.compress(content) + deflate.flush()


def zeros(megabytes: int, start: bytes = b"") -> bytes:
    """So many megabytes of zeros as a deflate stream, made without unpacking that much."""
    deflate = zlib.compressobj(9, zlib.DEFLATED, -15)
    head = deflate.compress(start) + deflate.flush(zlib.Z_FULL_FLUSH)
    block = deflate.compress(bytes(1_000_000)) + deflate.flush(zlib.Z_FULL_FLUSH)
    return head + block * megabytes + deflate.flush()
