"""The zip file around a workbook, held against the bounds before anything in it is unpacked or parsed.

What a file declares of its sizes is not believed: each part is unpacked once in small pieces that are thrown away,
so that libraries that trust the declared sizes can be given the file afterwards.

Source: ECMA-376 Part 2, annex B (use of zip); APPNOTE.TXT 6.3.10 of the zip format, clauses 4.3 and 4.4.
"""

import struct
import zlib
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from pipecalc.problems import FileUnusable
from pipecalc.workbook.limits import (
    MAX_DIRECTORY,
    MAX_FILE,
    MAX_PART,
    MAX_PARTS,
    MAX_PROLOG,
    MAX_RATIO,
    MAX_UNPACKED,
    RATIO_FROM,
    too_large,
)
from pipecalc.workbook.package_xml import refuse_prolog

_END = b"PK\x05\x06"
_END_SIZE = 22
_LOCAL_SIZE = 30
_PIECE = 65_536
_ENCRYPTED = 0x0001
_PARSED = (".xml", ".rels")


def load_bytes(path: Path) -> bytes:
    """The file's bytes.

    Raises:
        FileUnusable: ``missing``, ``busy``, ``too-large`` or ``not-a-workbook`` (a folder, a device).
    """
    try:
        size = path.stat().st_size
        if path.exists() and not path.is_file():
            kind = "a folder" if path.is_dir() else "no ordinary file"
            raise FileUnusable("not-a-workbook", f"{path} is {kind}, not a workbook")
        if size > MAX_FILE:
            raise too_large(str(path), "bytes", size, MAX_FILE)
        return path.read_bytes()
    except FileNotFoundError:
        raise FileUnusable("missing", f"{path}: there is no such file") from None
    except PermissionError:
        reason = "it is open in another program, or you may not read it; close it and run again"
        raise FileUnusable("busy", f"{path} cannot be read: {reason}") from None
    except (OSError, ValueError) as failure:
        reason = getattr(failure, "strerror", None) or str(failure)
        raise FileUnusable("busy", f"{path} cannot be read: {reason}") from None


def open_zip(data: bytes, name: str) -> ZipFile:
    """Open a zip file whose list of parts is within the bounds.

    Raises:
        FileUnusable: ``too-large`` or ``encrypted``.
        BadZipFile: It is damaged, or arranged so that programs may disagree on what is in it.
    """
    _refuse_directory(data, name)
    package = ZipFile(BytesIO(data))
    infos = package.infolist()
    if len(infos) > MAX_PARTS:
        raise too_large(name, "parts", len(infos), MAX_PARTS)
    if any(info.flag_bits & _ENCRYPTED for info in infos):
        raise FileUnusable("encrypted", f"{name} is protected by a password; save a copy without one")
    _refuse_sizes(infos, name)
    _refuse_arrangement(data, infos)
    return package


def _refuse_directory(data: bytes, name: str) -> None:
    """Bound the list of parts before it is read, and take only files in which all readers find the same one."""
    end = data.rfind(_END, max(0, len(data) - _END_SIZE - 65_535))
    if end < 0 or len(data) - end < _END_SIZE:
        raise BadZipFile("its list of parts is missing")
    count, size, comment = struct.unpack("<10xHL4xH", data[end : end + _END_SIZE])
    if end + _END_SIZE + comment != len(data):
        raise BadZipFile("something stands behind its end")
    if count == 0xFFFF or size > MAX_DIRECTORY:
        raise too_large(name, "bytes in its list of parts", size, MAX_DIRECTORY)


def _refuse_sizes(infos: list[ZipInfo], name: str) -> None:
    total = sum(info.file_size for info in infos)
    if total > MAX_UNPACKED:
        raise too_large(name, "bytes unpacked", total, MAX_UNPACKED)
    for info in infos:
        if info.file_size > MAX_PART:
            raise too_large(f"{name}, part {info.filename}", "bytes unpacked", info.file_size, MAX_PART)
        if info.file_size > max(RATIO_FROM, MAX_RATIO * info.compress_size):
            ratio = info.file_size // max(1, info.compress_size)
            raise too_large(f"{name}, part {info.filename}", "times its packed size unpacked", ratio, MAX_RATIO)


def _refuse_arrangement(data: bytes, infos: list[ZipInfo]) -> None:
    if any(info.compress_type not in (ZIP_STORED, ZIP_DEFLATED) for info in infos):
        raise BadZipFile("a part is packed in a way that workbooks never are")
    names = [info.orig_filename.replace("\\", "/").lstrip("/").lower() for info in infos]
    if len(set(names)) != len(names):
        raise BadZipFile("two parts bear the same name")
    taken = sorted((info.header_offset, info.header_offset + _LOCAL_SIZE + info.compress_size) for info in infos)
    for (_, end), (start, _) in zip(taken, [*taken[1:], (len(data), 0)], strict=True):
        if end > start:
            raise BadZipFile("parts overlap")


def refuse_false_parts(data: bytes, package: ZipFile) -> None:
    """Unpack every part in pieces: its size is the declared one, and it declares no document type.

    Raises:
        BadZipFile: A part is larger or smaller than declared, or damaged.
        XmlRefused: A part that may be parsed as XML declares a document type or begins with long remarks.
    """
    for info in package.infolist():
        size = 0
        for piece in _pieces(data, info):
            if piece and size == 0 and info.orig_filename.lower().endswith(_PARSED):
                refuse_prolog(piece[:MAX_PROLOG], whole=len(piece) == info.file_size <= MAX_PROLOG)
            size += len(piece)
            if size > info.file_size:
                break
        if size != info.file_size:
            raise BadZipFile(f"the part {info.filename} does not have the size it declares")


def _pieces(data: bytes, info: ZipInfo) -> Iterator[bytes]:
    view = packed_bytes(data, info)
    if info.compress_type == ZIP_STORED:
        yield from (bytes(view[start : start + _PIECE]) for start in range(0, len(view), _PIECE))
        return
    inflate = zlib.decompressobj(-zlib.MAX_WBITS)
    for start in range(0, len(view), _PIECE):
        left = bytes(view[start : start + _PIECE])
        while left and not inflate.eof:
            yield inflate.decompress(left, _PIECE)
            left = inflate.unconsumed_tail
    yield inflate.flush(_PIECE)
    if not inflate.eof:
        raise BadZipFile(f"the part {info.filename} is cut short")


def packed_bytes(data: bytes, info: ZipInfo) -> memoryview:
    """The packed bytes of a part where they lie.

    Raises:
        BadZipFile: Its own header is missing or it is cut short.
    """
    start = info.header_offset
    header = data[start : start + _LOCAL_SIZE]
    if len(header) < _LOCAL_SIZE or header[:4] != b"PK\x03\x04":
        raise BadZipFile(f"the part {info.orig_filename} is damaged")
    name_size, extra_size = struct.unpack("<HH", header[26:])
    begin = start + _LOCAL_SIZE + name_size + extra_size
    packed = memoryview(data)[begin : begin + info.compress_size]
    if len(packed) != info.compress_size:
        raise BadZipFile(f"the part {info.orig_filename} is cut short")
    return packed


def unpacked(package: ZipFile, info: ZipInfo) -> bytes:
    """A part, never more of it than it declares.

    Raises:
        BadZipFile: It is damaged.
    """
    with package.open(info) as part:
        return part.read(info.file_size + 1)
