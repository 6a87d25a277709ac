"""The container of a workbook: named parts in a zip file, their types and their relationships.

Parts that are not replaced keep their compressed bytes as they are. Output depends on the input alone:
replaced parts keep their place, new ones follow, and both carry a fixed date.

Source: ECMA-376 Part 2, Open Packaging Conventions (parts, relationships, content types).
"""

import posixpath
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

from pipecalc.problems import FileUnusable
from pipecalc.workbook.limits import MAX_TAGS
from pipecalc.workbook.package_xml import Element, XmlRefused, parse_xml
from pipecalc.workbook.package_zip import load_bytes, open_zip, packed_bytes, unpacked

RELATIONSHIPS = "http://schemas.openxmlformats.org/package/2006/relationships"
CONTENT_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
TYPES_PART = "[Content_Types].xml"

_OLE_MAGIC = bytes.fromhex("D0CF11E0A1B11AE1")
_ENCRYPTED_STREAM = "EncryptedPackage".encode("utf-16-le")
_FIXED_DATE = (0, 0x0021)  # 1980-01-01 00:00, the earliest date a zip file can hold
_LEVEL = 6
# Packing takes long only where there is much; these parts become a sixth larger in less than half the time.
_LARGE, _LEVEL_OF_LARGE = 4_000_000, 2  # bytes
_HAS_DESCRIPTOR, _IS_UTF8 = 0x0008, 0x0800
_NAME = "The workbook"


def not_a_workbook(why: str) -> FileUnusable:
    """The error for a file that is no Excel workbook, or a damaged one."""
    return FileUnusable("not-a-workbook", f"The file is not a usable Excel workbook: {why}")


def parse(data: bytes, most: int = MAX_TAGS) -> Element:
    """Root element of an XML part.

    Raises:
        FileUnusable: It cannot be read, declares a document type or holds more than so many tags.
    """
    try:
        return parse_xml(data, plain=False, most=most)
    except (etree.XMLSyntaxError, XmlRefused) as fault:
        raise not_a_workbook(f"a part cannot be read ({fault})") from fault


def whole_number(element: Element, name: str, missing: int | None = None) -> int:
    """An attribute that counts something.

    Raises:
        FileUnusable: It is no whole number, or not there and nothing is said for that.
    """
    text = element.get(name)
    if text is None and missing is not None:
        return missing
    if not re.fullmatch(r"\d{1,9}", text or "", re.ASCII):
        raise not_a_workbook(f"{etree.QName(element).localname} bears {name}={(text or '')[:20]!r}")
    return int(text)


def serialise(root: Element) -> bytes:
    """Bytes of an XML part, remarks around the root element included."""
    text: bytes = etree.tostring(root.getroottree(), encoding="UTF-8", xml_declaration=True, standalone=True)
    return text


@dataclass(frozen=True, slots=True)
class Relationship:
    """One relationship of a part: its id, its type and the name of the target part (none if outside)."""

    id: str
    type: str
    target: str | None

    @property
    def kind(self) -> str:
        """Last word of the type; the same in the transitional and the strict standard."""
        return self.type.rsplit("/", 1)[-1]


@dataclass(slots=True)
class _Entry:
    """One zip entry, ready to be written."""

    name: bytes
    flags: int
    method: int
    time_date: tuple[int, int]
    crc: int
    size: int
    packed: bytes
    attributes: tuple[int, int, int]  # system and version made by, internal, external


class Package:
    """Parts by name: read on demand, replaced, removed, and written again."""

    def __init__(self, source: bytes | Path) -> None:
        self._data = source if isinstance(source, bytes) else load_bytes(source)
        _refuse_foreign(self._data)
        try:
            self._zip = open_zip(self._data, _NAME)
        except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as fault:
            raise not_a_workbook(str(fault)) from fault
        self._infos = {info.orig_filename: info for info in self._zip.infolist()}
        self._lookup = {_key(name): name for name in self._infos}
        self._changed: dict[str, bytes | Future[_Entry] | None] = {}
        self._packer = ThreadPoolExecutor(1)
        self._packing: Future[_Entry] | None = None
        if _key(TYPES_PART) not in self._lookup:
            raise not_a_workbook("it lists no content types")

    def names(self) -> list[str]:
        """All parts in the order they are written; folders are not parts."""
        added = [name for name in self._changed if name not in self._infos]
        return [n for n in (*self._infos, *added) if self._changed.get(n, b"") is not None and not n.endswith("/")]

    def has(self, name: str) -> bool:
        """Whether there is such a part; upper and lower case are the same."""
        found = self._lookup.get(_key(name))
        return found is not None and self._changed.get(found, b"") is not None

    def read(self, name: str) -> bytes:
        """Bytes of a part."""
        found = self._lookup.get(_key(name))
        changed = self._changed.get(found, b"") if found else None
        if found is None or changed is None:
            raise not_a_workbook(f"the part {name} is missing")
        if isinstance(changed, Future):
            return zlib.decompress(changed.result().packed, -zlib.MAX_WBITS)
        return changed if found in self._changed else self._unpack(found)

    def _unpack(self, name: str) -> bytes:
        try:
            return unpacked(self._zip, self._infos[name])
        except (
            zipfile.BadZipFile,
            zlib.error,
            EOFError,
            NotImplementedError,
            RuntimeError,
            OSError,
        ) as fault:
            raise not_a_workbook(f"the part {name} is damaged ({fault})") from fault

    def write(self, name: str, data: bytes | Sequence[bytes]) -> None:
        """Replace or add a part, whole or in pieces; equal bytes are no change.

        Large parts are kept packed; a thread packs one while the caller makes the next.
        """
        pieces = [data] if isinstance(data, bytes) else data
        if sum(map(len, pieces)) > _LARGE:
            found = self._lookup.setdefault(_key(name), name)
            if self._packing is not None:
                self._packing.result()  # no more than one part waits unpacked
            self._packing = self._packer.submit(_packed, found, pieces, _LEVEL_OF_LARGE)
            self._changed[found] = self._packing
            return
        whole = b"".join(pieces)
        if not self.has(name) or self.read(name) != whole:
            self._changed[self._lookup.setdefault(_key(name), name)] = whole

    def remove(self, name: str) -> None:
        """Take a part out, with its relationships and its content type."""
        for part in (name, _relationships_part(name)):
            if self.has(part):
                self._changed[self._lookup[_key(part)]] = None
        types = parse(self.read(TYPES_PART))
        for override in types.findall(f"{{{CONTENT_TYPES}}}Override"):
            if _key(override.get("PartName", "")) == _key(name):
                types.remove(override)
                self.write(TYPES_PART, serialise(types))

    def relationships(self, part: str) -> list[Relationship]:
        """Relationships of a part; of the package itself for the empty name."""
        source = _relationships_part(part)
        if not self.has(source):
            return []
        return [_relationship(element, part) for element in _elements(parse(self.read(source)))]

    def relate(self, part: str, kind: str, target: str) -> str:
        """Add a relationship from a part to another and return its id."""
        name = _relationships_part(part)
        root = parse(self.read(name)) if self.has(name) else _no_relationships()
        taken = {element.get("Id") for element in _elements(root)}
        new = next(f"rId{n}" for n in range(1, len(taken) + 2) if f"rId{n}" not in taken)
        attributes = {"Id": new, "Type": kind, "Target": f"/{target}"}
        etree.SubElement(root, f"{{{RELATIONSHIPS}}}Relationship", attributes)
        self.write(name, serialise(root))
        return new

    def unrelate(self, part: str, ids: set[str]) -> None:
        """Take relationships away by id."""
        name = _relationships_part(part)
        root = parse(self.read(name))
        for element in _elements(root):
            if element.get("Id") in ids:
                root.remove(element)
        self.write(name, serialise(root))

    def add(self, name: str, content_type: str, data: bytes | Sequence[bytes]) -> None:
        """Add a part and declare its type."""
        types = parse(self.read(TYPES_PART))
        etree.SubElement(types, f"{{{CONTENT_TYPES}}}Override", {"PartName": f"/{name}", "ContentType": content_type})
        self.write(TYPES_PART, serialise(types))
        self.write(name, data)

    def content_type(self, name: str) -> str:
        """Declared type of a part, by name or by ending; empty where none is declared."""
        types = parse(self.read(TYPES_PART))
        for element in _elements(types):
            if _key(element.get("PartName", "")) == _key(name):
                return str(element.get("ContentType", ""))
        ending = name.rsplit(".", 1)[-1].lower()
        endings = {e.get("Extension", "").lower(): e.get("ContentType", "") for e in _elements(types)}
        return str(endings.get(ending, ""))

    def reachable(self) -> set[str]:
        """Names of all parts that relationships lead to from the package."""
        found: set[str] = set()
        waiting = [""]
        while waiting:
            for relationship in self.relationships(waiting.pop()):
                target = relationship.target
                if target and self.has(target) and self._lookup[_key(target)] not in found:
                    found.add(self._lookup[_key(target)])
                    waiting.append(self._lookup[_key(target)])
        return found

    def to_bytes(self) -> bytes:
        """The whole file; the input's own bytes if nothing changed."""
        if not self._changed:
            return self._data
        return _write_zip(list(self._entries()), self._zip.comment)

    def _entries(self) -> Iterator[_Entry]:
        added = [name for name in self._changed if name not in self._infos]
        for name in (*self._infos, *added):
            data = self._changed.get(name, b"")
            if data is None:
                continue
            if isinstance(data, Future):
                yield data.result()
            else:
                yield _packed(name, [data], _LEVEL) if name in self._changed else self._kept(self._infos[name])

    def _kept(self, info: zipfile.ZipInfo) -> _Entry:
        try:
            packed = bytes(packed_bytes(self._data, info))
        except zipfile.BadZipFile as fault:
            raise not_a_workbook(str(fault)) from fault
        made_by = info.create_system << 8 | info.create_version
        return _Entry(
            name=info.orig_filename.encode("utf-8" if info.flag_bits & _IS_UTF8 else "cp437"),
            flags=info.flag_bits & ~_HAS_DESCRIPTOR,
            method=info.compress_type,
            time_date=_dos_time(info.date_time),
            crc=info.CRC,
            size=info.file_size,
            packed=packed,
            attributes=(made_by, info.internal_attr, info.external_attr),
        )


def _refuse_foreign(data: bytes) -> None:
    if not data:
        raise FileUnusable("empty", "The file is empty (zero bytes)")
    if data.startswith(_OLE_MAGIC):
        if _ENCRYPTED_STREAM in data:
            raise FileUnusable(
                "encrypted", "The workbook is protected with a password: save it without one and run again"
            )
        raise not_a_workbook("it is in the old binary format (.xls); save it as .xlsx")


def _key(name: str) -> str:
    return name.replace("\\", "/").lstrip("/").lower()


def _relationships_part(part: str) -> str:
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def _elements(root: Element) -> list[Element]:
    return [element for element in root if isinstance(element.tag, str)]


def _relationship(element: Element, part: str) -> Relationship:
    target = None
    if element.get("TargetMode") != "External":
        joined = posixpath.join("/", posixpath.dirname(part), element.get("Target", ""))
        target = posixpath.normpath(joined).lstrip("/")
    return Relationship(str(element.get("Id")), str(element.get("Type")), target)


def _dos_time(date_time: tuple[int, int, int, int, int, int]) -> tuple[int, int]:
    year, month, day, hour, minute, second = date_time
    return hour << 11 | minute << 5 | second // 2, (year - 1980) << 9 | month << 5 | day


def _packed(name: str, pieces: Sequence[bytes], level: int) -> _Entry:
    deflate = zlib.compressobj(level, zlib.DEFLATED, -zlib.MAX_WBITS)
    packed, crc = [], 0
    for piece in pieces:
        packed.append(deflate.compress(piece))
        crc = zlib.crc32(piece, crc)
    packed.append(deflate.flush())
    ascii_name = name.isascii()
    return _Entry(
        name=name.encode(),
        flags=0 if ascii_name else _IS_UTF8,
        method=zipfile.ZIP_DEFLATED,
        time_date=_FIXED_DATE,
        crc=crc,
        size=sum(map(len, pieces)),
        packed=b"".join(packed),
        attributes=(20, 0, 0),
    )


def _write_zip(entries: list[_Entry], comment: bytes) -> bytes:
    """A zip file without extra fields; sizes stay below the 4 GB that would need them."""
    out, directory, offset = [], [], 0
    for e in entries:
        shared = struct.pack("<HHHHLLL", e.flags, e.method, *e.time_date, e.crc, len(e.packed), e.size)
        made_by, internal, external = e.attributes
        head = struct.pack("<4sH", b"PK\x03\x04", 20) + shared + struct.pack("<HH", len(e.name), 0) + e.name
        directory.append(
            struct.pack("<4sHH", b"PK\x01\x02", made_by, 20)
            + shared
            + struct.pack("<HHHHHLL", len(e.name), 0, 0, 0, internal, external, offset)
            + e.name
        )
        out += [head, e.packed]
        offset += len(head) + len(e.packed)
    size = sum(map(len, directory))
    end = struct.pack("<4sHHHHLLH", b"PK\x05\x06", 0, 0, len(entries), len(entries), size, offset, len(comment))
    return b"".join([*out, *directory, end, comment])


def free_name(package: Package, pattern: str) -> str:
    """First unused part name of a pattern with ``{}`` for a number."""
    taken = {_key(name) for name in package.names()}
    return next(name for n in range(1, len(taken) + 2) if _key(name := pattern.format(n)) not in taken)


def _no_relationships() -> Element:
    return etree.Element(f"{{{RELATIONSHIPS}}}Relationships", nsmap={None: RELATIONSHIPS})
