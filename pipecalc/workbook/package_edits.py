"""What is to be written into a workbook, and the two ways in which it can be refused.

FileUnusable
├── TargetBlocked    cells that cannot take a value (merged, part of an array formula, ...)
└── TitleTaken       a sheet of the user's own bears the title of a result sheet
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from pipecalc.problems import Address, FileUnusable, letters

_BLOCKS_TOLD = 20  # in the message; a merged column blocks thousands of cells

Value = str | float | int | bool | None


@dataclass(frozen=True, slots=True)
class CellStyle:
    """Look of a cell, complete in itself: based on the workbook's default format, not on the cell's old one.

    Attributes:
        number_format: Format code such as ``0.00``; none is General.
        fill: Background as ``RRGGBB``.
        bold: Bold text.
        wrap: Text wraps in the cell and starts at its top.
        font_colour: Text colour as ``RRGGBB``.
        align: Horizontal alignment; none is by content.
        border: A hairline on all four sides.
        italic: Slanted text.
        size: Text height in points; none is the workbook's own.
    """

    number_format: str | None = None
    fill: str | None = None
    bold: bool = False
    wrap: bool = False
    font_colour: str | None = None
    align: Literal["left", "center", "right"] | None = None
    border: bool = False
    italic: bool = False
    size: float | None = None


class CellWrite(NamedTuple):
    """One result cell; a large plant has some hundred thousand, and a tuple is made the quickest.

    Attributes:
        sheet: Title of the sheet.
        row: Row number from 1.
        column: Column number from 1.
        value: Text, number, truth value, or none to clear the cell. Text stays text, whatever it starts with.
        style: New look; none keeps the look the cell has (a new cell takes its row's or column's).
    """

    sheet: str
    row: int
    column: int
    value: Value
    style: CellStyle | None = None


class SheetCell(NamedTuple):
    """A cell of a new sheet with a look of its own."""

    value: Value
    style: CellStyle | None = None


@dataclass(frozen=True, slots=True)
class NewSheet:
    """A whole sheet written anew, behind all others or in place of the one an earlier run wrote.

    Attributes:
        title: Title of the sheet, at most 31 characters.
        rows: Cells from A1; a bare value has the default look.
        column_widths: Width in characters by column number.
        freeze: How many rows and columns stay in view.
        repeat_row: Row that is printed on top of every page.
        landscape: Printed across.
        fit_to_width: Printed one page wide.
    """

    title: str
    rows: Sequence[Sequence[SheetCell | Value]]
    column_widths: Mapping[int, float] = field(default_factory=dict)
    freeze: tuple[int, int] | None = None
    repeat_row: int | None = None
    landscape: bool = True
    fit_to_width: bool = True


@dataclass(frozen=True, slots=True)
class Block:
    """A cell that cannot take its value.

    Attributes:
        address: The cell.
        reason: What stands in the way, in words.
    """

    address: Address
    reason: str


class TargetBlocked(FileUnusable):
    """Some target cells cannot be written without harm to the workbook; nothing was written.

    Attributes:
        blocks: All of them, in the order found.
    """

    def __init__(self, blocks: Sequence[Block]) -> None:
        lines = [f"{block.address}: {block.reason}" for block in blocks[:_BLOCKS_TOLD]]
        if len(blocks) > _BLOCKS_TOLD:
            lines.append(f"and {len(blocks) - _BLOCKS_TOLD:,} more cells")
        super().__init__("target-blocked", "Results cannot be written:\n" + "\n".join(lines))
        self.blocks = tuple(blocks)


class TitleTaken(FileUnusable):
    """Sheets of the user's own bear titles of result sheets; nothing was written.

    Attributes:
        titles: Their titles.
    """

    def __init__(self, titles: Sequence[str]) -> None:
        names = ", ".join(f'"{title}"' for title in titles)
        super().__init__(
            "title-taken",
            f"No earlier run wrote the sheet {names}: rename it, its title is needed for results",
        )
        self.titles = tuple(titles)


def reference(row: int, column: int) -> str:
    """Spreadsheet notation of a cell, such as ``F14``."""
    return f"{letters(column)}{row}"
