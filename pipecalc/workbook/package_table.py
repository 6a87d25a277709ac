"""Rows of one kind for a new sheet: values with the looks of their columns, made into cells when they are asked for.

All cells at once would take more room than everything else; as text they come column by column, without a record for
each cell.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import overload

from pipecalc.workbook.package_edits import CellStyle, SheetCell, Value

Row = Sequence[SheetCell | Value]


@dataclass(frozen=True, slots=True)
class TableColumn:
    """How values become the cells of a column.

    Attributes:
        number: Look of a number.
        text: Look of a text, and of a cell without a value.
        odd: Look of the empty cell that a number gives which is not finite.
        words: Looks of single texts that have their own.
        offset: Taken off a number before it is shown.
        factor: What a number is divided by before it is shown.
    """

    number: CellStyle
    text: CellStyle
    odd: CellStyle
    words: Mapping[str, CellStyle] = field(default_factory=dict)
    offset: float = 0.0
    factor: float = 1.0

    @property
    def wraps(self) -> bool:
        """Whether a text may take several lines."""
        return self.text.wrap or any(style.wrap for style in self.words.values())

    def cell(self, value: object) -> SheetCell:
        """The cell of a value: a text, a number or None."""
        if isinstance(value, str):
            return SheetCell(value or None, self.words.get(value, self.text))
        if value is None:
            return SheetCell(None, self.text)
        number = float(value)  # type: ignore[arg-type]
        return (
            SheetCell((number - self.offset) / self.factor, self.number)
            if isfinite(number)
            else SheetCell(None, self.odd)
        )


class Table(Sequence[Row]):
    """Rows of cells: some on top, one for each row of values, some below.

    Attributes:
        head: Rows on top.
        columns: Looks of the columns.
        values: Values by row and column.
        foot: Rows below.
    """

    def __init__(
        self,
        head: Sequence[Row],
        columns: Sequence[TableColumn],
        values: Sequence[Sequence[object]],
        foot: Sequence[Row],
    ) -> None:
        self.head, self.columns, self.values, self.foot = head, columns, values, foot

    def __len__(self) -> int:
        """How many rows there are."""
        return len(self.head) + len(self.values) + len(self.foot)

    @overload
    def __getitem__(self, at: int) -> Row: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Row]: ...
    def __getitem__(self, at: int | slice) -> Row | Sequence[Row]:
        """Rows by number from 0."""
        return list(self)[at]

    def __iter__(self) -> Iterator[Row]:
        """Row by row, from the top."""
        yield from self.head
        for row in self.values:
            yield [column.cell(value) for column, value in zip(self.columns, row, strict=True)]
        yield from self.foot
