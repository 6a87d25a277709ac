"""Cell formats of a workbook: found where they exist, appended where not, never changed.

Source: ECMA-376 Part 1, clause 18.8 (styles part).
"""

import re
from collections.abc import Callable
from copy import deepcopy
from typing import Any

from lxml import etree

from pipecalc.workbook.package_edits import CellStyle
from pipecalc.workbook.package_parts import parse, serialise, whole_number
from pipecalc.workbook.package_xml import Element

_ORDER = (
    "numFmts",
    "fonts",
    "fills",
    "borders",
    "cellStyleXfs",
    "cellXfs",
    "cellStyles",
    "dxfs",
    "tableStyles",
)
_FIRST_OWN_FORMAT = 164  # lower ids are built in
# ECMA-376 Part 1, clause 18.8.30: built-in formats that do not depend on the language.
_BUILT_IN = {
    "General": 0,
    "0": 1,
    "0.00": 2,
    "#,##0": 3,
    "#,##0.00": 4,
    "0%": 9,
    "0.00%": 10,
    "0.00E+00": 11,
    "@": 49,
}
_MINIMAL = (
    '<styleSheet xmlns="{0}">'
    '<fonts count="1"><font><sz val="11"/><name val="Calibri"/><family val="2"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)


class StyleBook:
    """The styles part while formats are asked for.

    Attributes:
        changed: Whether a format had to be appended.
    """

    def __init__(self, data: bytes | None, namespace: str) -> None:
        self._root = parse(data or _MINIMAL.format(namespace).encode())
        self._ns = str(etree.QName(self._root).namespace)
        self._known: dict[tuple[str, str], dict[Any, int]] = {}
        self._indexes: dict[tuple[CellStyle, bool], int] = {}
        self.changed = False

    def index(self, style: CellStyle, quoted: bool = False) -> int:
        """Number of the cell format for a style; quoted marks text that must not turn into a formula."""
        if (style, quoted) not in self._indexes:
            self._indexes[style, quoted] = self._append_format(style, quoted)
        return self._indexes[style, quoted]

    def quoted(self, index: int) -> int:
        """Number of the format that equals another one but marks its text as text."""
        formats = self._group("cellXfs", "xf")
        if not 0 <= index < len(formats) or formats[index].get("quotePrefix") in ("1", "true"):
            return index
        copy = deepcopy(formats[index])
        copy.set("quotePrefix", "1")
        return self._find_or_append("cellXfs", "xf", copy)

    def to_bytes(self) -> bytes:
        """The part."""
        return serialise(self._root)

    def _append_format(self, style: CellStyle, quoted: bool) -> int:
        number, font = self._number_format(style.number_format), self._font(style)
        fill, border = self._fill(style.fill), self._border(style.border)
        attributes = {"numFmtId": number, "fontId": font, "fillId": fill, "borderId": border, "xfId": 0}
        applied = {
            "quotePrefix": quoted,
            "applyNumberFormat": bool(number),
            "applyFont": bool(font),
            "applyFill": bool(fill),
            "applyBorder": border > 0,
            "applyAlignment": style.wrap or style.align is not None,
        }
        xf = self._new("xf", attributes | {name: 1 for name, is_set in applied.items() if is_set})
        if applied["applyAlignment"]:
            alignment = {"horizontal": style.align} if style.align else {}
            wrap = {"vertical": "top", "wrapText": 1} if style.wrap else {}
            xf.append(self._new("alignment", alignment | wrap))
        return self._find_or_append("cellXfs", "xf", xf)

    def _number_format(self, code: str | None) -> int:
        if code is None or code in _BUILT_IN:
            return _BUILT_IN[code or "General"]
        formats = self._group("numFmts", "numFmt")
        for element in formats:
            if element.get("formatCode") == code:
                return whole_number(element, "numFmtId")
        new = max([_FIRST_OWN_FORMAT - 1, *(whole_number(e, "numFmtId") for e in formats)]) + 1
        self._append("numFmts", "numFmt", self._new("numFmt", {"numFmtId": new, "formatCode": code}))
        return new

    def _font(self, style: CellStyle) -> int:
        if not (style.bold or style.italic or style.font_colour or style.size):
            return 0
        fonts = self._group("fonts", "font")
        font = deepcopy(fonts[0]) if fonts else self._new("font", {})
        for name in ("b", "i"):
            self._drop(font, name)
        flags = [name for name, is_set in (("b", style.bold), ("i", style.italic)) if is_set]
        for place, name in enumerate(flags):
            font.insert(place, self._new(name, {}))
        if style.size:
            self._put(
                font,
                "sz",
                {"val": f"{style.size:g}"},
                before=("color", "name", "family", "charset", "scheme"),
            )
        if style.font_colour:
            self._put(
                font,
                "color",
                {"rgb": _argb(style.font_colour)},
                before=("name", "family", "charset", "scheme"),
            )
        return self._find_or_append("fonts", "font", font)

    def _fill(self, rgb: str | None) -> int:
        if rgb is None:
            return 0
        pattern = self._new("patternFill", {"patternType": "solid"})
        pattern.append(self._new("fgColor", {"rgb": _argb(rgb)}))
        pattern.append(self._new("bgColor", {"indexed": 64}))
        fill = self._new("fill", {})
        fill.append(pattern)
        return self._find_or_append("fills", "fill", fill)

    def _border(self, wanted: bool) -> int:
        if not wanted:
            return 0
        border = self._new("border", {})
        for side in ("left", "right", "top", "bottom"):
            line = self._new(side, {"style": "hair"})
            line.append(self._new("color", {"auto": 1}))
            border.append(line)
        border.append(self._new("diagonal", {}))
        return self._find_or_append("borders", "border", border)

    def _new(self, name: str, attributes: dict[str, Any]) -> Element:
        texts = {key: str(value) for key, value in attributes.items()}
        return etree.Element(f"{{{self._ns}}}{name}", texts, nsmap=self._root.nsmap)

    def _drop(self, parent: Element, name: str) -> None:
        for child in parent.findall(f"{{{self._ns}}}{name}"):
            parent.remove(child)

    def _put(self, parent: Element, name: str, attributes: dict[str, Any], before: tuple[str, ...]) -> None:
        """Set a child in its place: the standard fixes the order of a font's children."""
        self._drop(parent, name)
        followers = {f"{{{self._ns}}}{follower}" for follower in before}
        place = next((n for n, child in enumerate(parent) if child.tag in followers), len(parent))
        parent.insert(place, self._new(name, attributes))

    def _container(self, name: str) -> Element:
        found = self._root.find(f"{{{self._ns}}}{name}")
        if found is not None:
            return found
        earlier = {f"{{{self._ns}}}{other}" for other in _ORDER[: _ORDER.index(name)]}
        places = [n for n, child in enumerate(self._root) if child.tag in earlier]
        created = self._new(name, {"count": 0})
        self._root.insert(places[-1] + 1 if places else 0, created)
        return created

    def _group(self, container: str, name: str) -> list[Element]:
        found: list[Element] = self._root.findall(f"{{{self._ns}}}{container}/{{{self._ns}}}{name}")
        return found

    def _find_or_append(self, container: str, name: str, element: Element) -> int:
        key = (container, name)
        if key not in self._known:
            existing = self._group(container, name)
            # The first of equals wins, so the list is walked backwards.
            self._known[key] = {_signature(e): n for n, e in reversed(list(enumerate(existing)))}
        signature = _signature(element)
        if signature not in self._known[key]:
            self._known[key][signature] = self._append(container, name, element)
        return self._known[key][signature]

    def _append(self, container: str, name: str, element: Element) -> int:
        parent = self._container(container)
        place = len(self._group(container, name))
        parent.append(element)
        parent.set("count", str(place + 1))
        self.changed = True
        return place


def _argb(rgb: str) -> str:
    if not re.fullmatch(r"[0-9A-Fa-f]{6}", rgb):
        raise ValueError(f"{rgb!r} is no colour of the form RRGGBB")
    return f"FF{rgb.upper()}"


def _signature(element: Element) -> Any:
    """What makes two formats equal: names, attributes and children, but no blanks between them."""
    children = tuple(_signature(child) for child in element if isinstance(child.tag, str))
    return element.tag, tuple(sorted(element.attrib.items())), children


def reused(find: Callable[[CellStyle, bool], int]) -> Callable[[CellStyle, bool], int]:
    """The same look-up, remembered by the style object itself: 260,000 cells share a dozen styles."""
    seen: dict[tuple[int, bool], tuple[int, CellStyle]] = {}  # a style stays, so that no other takes its identity

    def index(style: CellStyle, quoted: bool) -> int:
        key = (id(style), quoted)
        if key not in seen:
            seen[key] = find(style, quoted), style
        return seen[key][0]

    return index
