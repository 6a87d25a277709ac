"""Drop-down lists and plausibility of a new workbook: they warn, or only offer, and never stop."""

from typing import TYPE_CHECKING, Literal

from pipecalc.pipe_sizes import sizes
from pipecalc.problems import letters
from pipecalc.schema.column import Column, Kind, Sheet
from pipecalc.schema.sheets import declared
from pipecalc.tables import material_names

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.datavalidation import DataValidation
    from openpyxl.worksheet.worksheet import Worksheet

#: Hidden sheet with the lists that are too long, or hold commas, for a list typed into the validation itself.
LISTS_SHEET = "Lists"
LAST_ROW = 2000
_NAMES_OFFERED = 40
_LONGEST = 255  # characters of a list typed into the validation itself
_DIRECTIONS = ("+E", "-E", "+N", "-N", "+U", "-U")
_SCHEDULES = ("STD", "XS", "XXS", "5S", "10S", "40S", "80S", "10", "20", "30", "40", "60", "80", "100", "120", "160")
_1990 = "32874"  # 1990-01-01 as spreadsheet programs count days
_NUMBERS = (Kind.NUMBER, Kind.COUNT)


class Lists:
    """Columns of the hidden helper sheet, each list written once."""

    def __init__(self) -> None:
        self._lists: list[tuple[str | float, ...]] = []

    def source(self, words: tuple[str | float, ...]) -> str:
        """What a validation names as its list: the words themselves, or a range of the helper sheet."""
        typed_in = ",".join(str(word) for word in words)
        if all(isinstance(word, str) and "," not in word for word in words) and len(typed_in) <= _LONGEST:
            return '"' + typed_in.replace('"', '""') + '"'
        if words not in self._lists:
            self._lists.append(words)
        column = letters(self._lists.index(words) + 1)
        return f"{LISTS_SHEET}!${column}$1:${column}${len(words)}"

    def write(self, book: "Workbook") -> None:
        """Add the hidden sheet as the last one; none where no list needs it."""
        if not self._lists:
            return
        page = book.create_sheet(LISTS_SHEET)
        page.sheet_state = "hidden"
        for column, words in enumerate(self._lists, start=1):
            for row, word in enumerate(words, start=1):
                page.cell(row, column, word).number_format = "@" if isinstance(word, str) else "# ?/?"


def add(page: "Worksheet", sheet: Sheet, column: Column, cell: str, unit_cell: str, units: str, lists: Lists) -> None:
    """Validate the cells of one column, or one item of an upright sheet.

    Args:
        page: The sheet.
        sheet: Its declaration.
        column: The column.
        cell: Address of a cell to validate, with ``{row}`` for the row of a column.
        unit_cell: Address of its units cell.
        units: ``"SI"`` or ``"US"``.
        lists: Takes up lists that need the helper sheet.
    """
    if column.result:
        return
    first = cell.format(row=3)
    span = first if first == cell else f"{first}:{cell.format(row=LAST_ROW)}"
    rule = _rule(column, first, unit_cell, units, lists)
    if rule is not None:
        rule.add(span)
        page.add_data_validation(rule)
    _offer_units(page, column, unit_cell.replace("$", ""), lists)


def _rule(column: Column, first: str, unit_cell: str, units: str, lists: Lists) -> "DataValidation | None":
    if column.kind in _NUMBERS:
        return _plausible(column, first, unit_cell, units)
    if column.kind is Kind.DATE:
        return _warning(column, kind="date", formula1=_1990, message="Not a date.")
    return _list(column, lists)


def _list(column: Column, lists: Lists) -> "DataValidation | None":
    if column.kind in (Kind.CHOICE, Kind.YES_NO):
        return _warning(column, formula1=lists.source(column.words), message=f"Accepted: {', '.join(column.words)}.")
    if column.refers_to == ("Materials.material",):
        source = lists.source(material_names())
        return _warning(
            column, formula1=source, message="Not in the built-in library; declare it on the Materials sheet."
        )
    if column.kind is Kind.REFERENCE and len(column.refers_to) == 1 and not column.words:
        title = declared(column.refers_to[0])[0].title
        return _warning(column, formula1=_declarations(column), message=f"Not declared on the {title} sheet.")
    offered = _offered(column, lists)
    return _offer(offered) if offered else None


def _offered(column: Column, lists: Lists) -> str:
    """List of a column that takes more than the list holds."""
    if column.kind is Kind.NPS:
        return lists.source(tuple(sizes()))
    if column.kind is Kind.SCHEDULE:
        return lists.source(_SCHEDULES)
    if column.kind is Kind.DIRECTION:
        return lists.source(_DIRECTIONS)
    if column.kind is Kind.DENSITY:
        return lists.source(column.words)
    if column.kind is Kind.CHOICES and column.words:
        return lists.source((*column.words, *_named_so_far(column)))
    return _declarations(column) if column.refers_to else ""


def _named_so_far(column: Column) -> tuple[str, ...]:
    """Formulas that show the first names declared where a column refers to."""
    sheet, tag = declared(column.refers_to[0])
    where = letters(sheet.columns.index(tag) + 1)
    return tuple(f"='{sheet.title}'!${where}${row}&\"\"" for row in range(3, 3 + _NAMES_OFFERED))


def _declarations(column: Column) -> str:
    """Range of the tag column that a reference names first."""
    sheet, tag = declared(column.refers_to[0])
    where = letters(sheet.columns.index(tag) + 1)
    return f"'{sheet.title}'!${where}$3:${where}${LAST_ROW}"


def _plausible(column: Column, first: str, unit_cell: str, units: str) -> "DataValidation":
    """A number between bounds; silent about bounds once the units cell says another unit."""
    low, high = _bounds(column, units)
    inside = [f"ISNUMBER({first})"]
    inside += [f"{first}>{'' if column.above_low and low == column.low else '='}{low:.6g}"] if low is not None else []
    inside += [f"{first}<={high:.6g}"] if high is not None else []
    inside += [f"{first}=INT({first})"] if column.kind is Kind.COUNT else []
    formula = f"AND({','.join(inside)})"
    unit = column.unit(units)
    if unit and len(inside) > 1:
        formula = f'AND(ISNUMBER({first}),OR({unit_cell}<>"{unit}",{formula}))'
    return _warning(column, kind="custom", formula1=formula, message=_expected(low, high, unit))


def _bounds(column: Column, units: str) -> tuple[float | None, float | None]:
    """Usual bounds, else possible ones, in the unit of the system."""
    low = column.low if column.usual_low is None else column.usual_low
    high = column.high if column.usual_high is None else column.usual_high
    return _in_unit(low, column, units), _in_unit(high, column, units)


def _in_unit(value: float | None, column: Column, units: str) -> float | None:
    if value is None or column.dimension is None or column.unit(units) == column.si:
        return value
    from pipecalc.units import convert_in, convert_out

    base = convert_in(value, column.si, column.dimension)
    return float(convert_out(base, column.unit(units), column.dimension))


def _expected(low: float | None, high: float | None, unit: str) -> str:
    ends = [f"from {low:.6g}" if low is not None else "", f"up to {high:.6g}" if high is not None else ""]
    text = " ".join(end for end in ends if end)
    own = " A text with a unit of its own, such as 4 in, is read too." if unit else ""
    return f"Expected: a number{' ' + text if text else ''}{' ' + unit if unit and text else ''}.{own}"


def _warning(
    column: Column, formula1: str, message: str, kind: Literal["list", "custom", "date"] = "list"
) -> "DataValidation":
    from openpyxl.worksheet.datavalidation import DataValidation

    return DataValidation(
        type=kind,
        operator="greaterThan" if kind == "date" else None,
        formula1=formula1,
        allow_blank=True,
        showErrorMessage=True,
        errorStyle="warning",
        errorTitle=column.title[:32],
        error=message[:255],
    )


def _offer(formula1: str) -> "DataValidation":
    from openpyxl.worksheet.datavalidation import DataValidation

    return DataValidation(type="list", formula1=formula1, allow_blank=True, showErrorMessage=False)


def _offer_units(page: "Worksheet", column: Column, unit_cell: str, lists: Lists) -> None:
    if column.dimension is None or not column.si:
        return
    from pipecalc.units import accepted_units

    rule = _offer(lists.source(accepted_units(column.dimension)))
    rule.add(unit_cell)
    page.add_data_validation(rule)
