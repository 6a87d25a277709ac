"""The workbook part: its sheets, names and calculation settings.

Source: ECMA-376 Part 1, clause 18.2 (workbook part).
"""

from dataclasses import dataclass
from typing import Any

from lxml import etree

from pipecalc.workbook.package_parts import Package, not_a_workbook, parse, serialise, whole_number
from pipecalc.workbook.package_xml import Element

TRANSITIONAL = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
_RELATIONS = {
    TRANSITIONAL: "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    STRICT: "http://purl.oclc.org/ooxml/officeDocument/relationships",
}
# A hidden name with the scope of one sheet: it moves with the sheet and survives saving elsewhere.
MARK = "pipecalc_results"
_PRINT_TITLES = "_xlnm.Print_Titles"
_ORDER = (
    "fileVersion",
    "fileSharing",
    "workbookPr",
    "AlternateContent",
    "workbookProtection",
    "bookViews",
    "sheets",
    "functionGroups",
    "externalReferences",
    "definedNames",
    "calcPr",
)


@dataclass(frozen=True, slots=True)
class SheetEntry:
    """One sheet: title, part, and whether it is a worksheet (or a chart sheet or the like)."""

    title: str
    part: str
    kind: str


class Book:
    """The workbook part of a package.

    Attributes:
        package: The package.
        part: Name of the workbook part.
        namespace: Main name space, transitional or strict.
        sheets: All sheets in the order of their tabs.
    """

    def __init__(self, package: Package) -> None:
        self.package = package
        self.part = self._find_part()
        self._root = parse(package.read(self.part))
        self.namespace = str(etree.QName(self._root).namespace)
        if self.namespace not in _RELATIONS or etree.QName(self._root).localname != "workbook":
            raise not_a_workbook("its main part is no workbook")
        self._relations = _RELATIONS[self.namespace]
        self.sheets = self._list_sheets()

    def _find_part(self) -> str:
        for relationship in self.package.relationships(""):
            if relationship.kind == "officeDocument" and relationship.target:
                if "binary" in self.package.content_type(relationship.target):
                    raise not_a_workbook("it is in the binary format (.xlsb); save it as .xlsx")
                return relationship.target
        raise not_a_workbook("it names no main part")

    def _list_sheets(self) -> list[SheetEntry]:
        targets = {r.id: r for r in self.package.relationships(self.part)}
        entries = []
        for sheet in self._root.iterfind(f"{{{self.namespace}}}sheets/{{{self.namespace}}}sheet"):
            relationship = targets.get(sheet.get(f"{{{self._relations}}}id"))
            if relationship is None or relationship.target is None:
                raise not_a_workbook(f"the sheet {sheet.get('name')} has no part")
            entries.append(SheetEntry(str(sheet.get("name")), relationship.target, relationship.kind))
        return entries

    def sheet(self, title: str) -> SheetEntry | None:
        """Sheet of a title; upper and lower case are the same, as in spreadsheet programs."""
        return next((entry for entry in self.sheets if entry.title.lower() == title.lower()), None)

    def related(self, kind: str) -> str | None:
        """Part of a kind that the workbook part leads to, such as ``styles``."""
        related = self.package.relationships(self.part)
        return next((r.target for r in related if r.kind == kind), None)

    def relate(self, kind: str, target: str) -> str:
        """Add a relationship to a part and return its id."""
        return self.package.relate(self.part, f"{self._relations}/{kind}", target)

    def drop(self, kind: str) -> None:
        """Take away the relationships of a kind."""
        ids = {r.id for r in self.package.relationships(self.part) if r.kind == kind}
        if ids:
            self.package.unrelate(self.part, ids)

    def add_sheet(self, title: str, part: str) -> None:
        """Append a sheet behind all others."""
        sheets = self._root.find(f"{{{self.namespace}}}sheets")
        numbers = [whole_number(sheet, "sheetId", 0) for sheet in sheets if isinstance(sheet.tag, str)]
        # The prefix is named: left alone it would depend on what other libraries have told lxml in this process.
        new = etree.SubElement(sheets, f"{{{self.namespace}}}sheet", nsmap={"r": self._relations})
        new.set("name", title)
        new.set("sheetId", str(max(numbers, default=0) + 1))
        new.set(f"{{{self._relations}}}id", self.relate("worksheet", part))
        self.sheets.append(SheetEntry(title, part, "worksheet"))

    def is_marked(self, title: str) -> bool:
        """Whether an earlier run wrote the sheet."""
        return self._name(MARK, self._place(title)) is not None

    def mark(self, title: str, repeat_row: int | None) -> None:
        """Remember that a run wrote the sheet, and the row that is printed on every page."""
        place = self._place(title)
        self._set_name(MARK, place, "TRUE", hidden=True)
        if repeat_row is not None:
            quoted = title.replace("'", "''")
            self._set_name(_PRINT_TITLES, place, f"'{quoted}'!${repeat_row}:${repeat_row}")
        elif (old := self._name(_PRINT_TITLES, place)) is not None:
            old.getparent().remove(old)

    def recalculate(self) -> None:
        """Have spreadsheet programs recalculate when they open the file; stored values stay."""
        self._child("calcPr").set("fullCalcOnLoad", "1")

    def save(self) -> None:
        """Put the part back into the package."""
        old = parse(self.package.read(self.part))
        if etree.tostring(old, method="c14n") != etree.tostring(self._root, method="c14n"):
            self.package.write(self.part, serialise(self._root))

    def _place(self, title: str) -> int:
        return next(n for n, entry in enumerate(self.sheets) if entry.title.lower() == title.lower())

    def _name(self, name: str, place: int) -> Element | None:
        names = self._root.iterfind(f"{{{self.namespace}}}definedNames/{{{self.namespace}}}definedName")
        return next((e for e in names if e.get("name") == name and e.get("localSheetId") == str(place)), None)

    def _set_name(self, name: str, place: int, text: str, hidden: bool = False) -> None:
        element = self._name(name, place)
        if element is None:
            attributes: dict[str, Any] = {"name": name, "localSheetId": str(place)}
            element = etree.SubElement(self._child("definedNames"), f"{{{self.namespace}}}definedName", attributes)
        if hidden:
            element.set("hidden", "1")
        element.text = text

    def _child(self, name: str) -> Element:
        found = self._root.find(f"{{{self.namespace}}}{name}")
        if found is not None:
            return found
        earlier = _ORDER[: _ORDER.index(name)]
        children = list(self._root)
        places = [n for n, e in enumerate(children) if isinstance(e.tag, str) and etree.QName(e).localname in earlier]
        created = etree.Element(f"{{{self.namespace}}}{name}", nsmap=self._root.nsmap)
        self._root.insert(max(places, default=-1) + 1, created)
        return created
