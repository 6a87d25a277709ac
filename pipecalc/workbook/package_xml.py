"""XML of a workbook made harmless: no document types, no entities, no files, no net, no trees beyond the bounds.

Source: ECMA-376 Part 2, clause 8 (parts hold no document type declarations and are in UTF-8 or UTF-16); XML 1.0,
clauses 2.8 (prolog) and 4.3.3 (encodings).
"""

import re
from typing import Any

from pipecalc.workbook.limits import MAX_PROLOG, MAX_TAGS

# lxml carries no type information; the name says what is meant.
Element = Any

#: Options of every parser. Entities stay unresolved, nothing is fetched, and the library's own bounds hold.
SAFE: dict[str, bool] = {
    "resolve_entities": False,
    "no_network": True,
    "load_dtd": False,
    "dtd_validation": False,
    "attribute_defaults": False,
    "huge_tree": False,
}
_PLAIN = ("utf-8", "utf8", "us-ascii", "ascii")
_WIDE = ("utf-16", "utf-16le", "utf-16be", "iso-8859-1", "iso8859-1", "latin1", "latin-1", "windows-1252")
_MARKS = {b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}
_BEFORE_ROOT = re.compile(r"(?:\s++|<\?.*?\?>|<!--.*?-->)*+", re.DOTALL)
_DECLARED = re.compile(r"<\?xml\s[^>]*?encoding\s*=\s*[\"']([^\"']*)[\"']", re.ASCII)
_ROW = re.compile(rb"<(?:[\w.-]+:)?row[\s>/]")


class XmlRefused(ValueError):
    """A part is XML of a kind that workbooks never hold."""


def refuse_prolog(start: bytes, *, whole: bool) -> None:
    """Refuse a document type before the first element, in whatever encoding it stands.

    Args:
        start: The beginning of the part, at least ``MAX_PROLOG`` bytes unless it is shorter.
        whole: Whether that is all of the part.

    Raises:
        XmlRefused: There is one, or the first element does not begin within the bound.
    """
    text = _readable(start)
    found = _BEFORE_ROOT.match(text)
    rest = text[found.end() :] if found else text
    if rest[:9].upper() == "<!DOCTYPE":
        raise XmlRefused("a part declares a document type, which workbooks never do")
    if not whole and (not rest or rest.startswith(("<!", "<?"))):
        raise XmlRefused(f"the first element of a part does not begin within {MAX_PROLOG:,} bytes")


def refuse_encoding(xml: bytes, *, plain: bool) -> None:
    """Refuse encodings that readers may take for another.

    Args:
        xml: A part.
        plain: Whether UTF-8 alone is accepted.

    Raises:
        XmlRefused: It is in another one.
    """
    wide = xml[:2] in _MARKS
    if not wide and xml.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] not in (b"<", b""):
        raise XmlRefused("a part does not begin as XML does")
    declared = _DECLARED.match(_readable(xml[:1000]))
    encoding = (declared[1] if declared else "utf-16" if wide else "utf-8").lower()
    accepted = _PLAIN if plain else (*_PLAIN, *_WIDE)
    if encoding not in accepted or (plain and wide) or (b"\0" in xml[:4] and not wide):
        shown = ascii(encoding[:20])
        raise XmlRefused(
            f"a part is written in the encoding {shown}; accepted: UTF-8 (save it in a spreadsheet program)"
        )


def refuse_tags(xml: bytes, most: int = MAX_TAGS) -> None:
    """Refuse a part of which too large a tree would be built.

    Raises:
        XmlRefused: It holds too many tags.
    """
    tags = xml.count(b"<")
    if tags > most:
        raise XmlRefused(f"a part holds {tags:,} tags; accepted: at most {most:,}")


def refuse_tags_of_rows(xml: bytes) -> None:
    """Refuse a sheet of which one row, or what stands before or behind the rows, holds too many tags.

    Raises:
        XmlRefused: It does.
    """
    place = 0
    for found in (*_ROW.finditer(xml), None):
        end = found.start() if found else len(xml)
        if end - place > MAX_TAGS and xml.count(b"<", place, end) > MAX_TAGS:
            raise XmlRefused(f"a row of a sheet, or what stands outside its rows, holds more than {MAX_TAGS:,} tags")
        place = end


def parse_xml(xml: bytes, *, plain: bool, most: int = MAX_TAGS) -> Element:
    """Root element of a part.

    Args:
        xml: A part.
        plain: Whether UTF-8 alone is accepted.
        most: Tags accepted.

    Raises:
        XmlRefused: It is of a kind that workbooks never hold.
        lxml.etree.XMLSyntaxError: It is no XML.
    """
    from lxml.etree import XMLParser, fromstring

    refuse_encoding(xml, plain=plain)
    refuse_prolog(xml[:MAX_PROLOG], whole=len(xml) <= MAX_PROLOG)
    refuse_tags(xml, most)
    root = fromstring(xml, XMLParser(**SAFE))
    if root.getroottree().docinfo.doctype:
        raise XmlRefused("a part declares a document type, which workbooks never do")
    return root


def _readable(xml: bytes) -> str:
    """The beginning of a part as text in which tags can be found; other characters do not matter."""
    if xml[:2] in _MARKS:
        return xml[2:].decode(_MARKS[xml[:2]], "replace")
    if b"\0" in xml[:4]:
        return xml.replace(b"\0", b"").decode("latin-1")
    return xml.removeprefix(b"\xef\xbb\xbf").decode("latin-1")
