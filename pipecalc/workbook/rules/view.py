"""What rules see of a book: sound rows, all names, and the points of each line."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cached_property

from pipecalc.problems import Problem, Severity, warning
from pipecalc.schema.sheets import sheet
from pipecalc.workbook.rows import Book, Row


class View:
    """A book without the rows that have errors; their names stay known.

    Attributes:
        book: As read.
        built_in_sets: Names of nozzle-load standards.
    """

    def __init__(self, book: Book, built_in_sets: Collection[str] = ()) -> None:
        self.book = book
        self.built_in_sets = tuple(built_in_sets)
        self._names: dict[str, tuple[str, ...]] = {}
        self._known: dict[str, frozenset[str]] = {}
        self._declaring: dict[str, dict[str, list[Row]]] = {}
        self._faulty = {(r.sheet, r.number) for rows in book.rows.values() for r in rows if r.bad}

    def keep(self, found: Iterable[Problem]) -> Iterator[Problem]:
        """Pass problems on; rows with an error among them are faulty from now on."""
        gathered = list(found)
        for p in gathered:
            if p.severity is Severity.ERROR:
                self._faulty.add((p.address.sheet, p.address.row))
        return iter(gathered)

    def sound(self, title: str) -> list[Row]:
        """Rows without an error."""
        return [r for r in self.book.rows[title] if (title, r.number) not in self._faulty]

    def names(self, reference: str) -> tuple[str, ...]:
        """All names in a ``"Sheet.key"`` column, those of faulty rows among them."""
        if reference not in self._names:
            title, _, key = reference.partition(".")
            found = dict.fromkeys(r[key] for r in self.book.rows[title] if r[key] is not None)
            self._names[reference] = tuple(found)
        return self._names[reference]

    def known(self, reference: str) -> frozenset[str]:
        """The same names, for asking whether one is among them."""
        if reference not in self._known:
            self._known[reference] = frozenset(self.names(reference))
        return self._known[reference]

    def row_of(self, reference: str, name: str) -> Row | None:
        """The sound row that declares a name."""
        title, _, key = reference.partition(".")
        if reference not in self._declaring:
            rows = self._declaring[reference] = {}
            for row in self.book.rows[title]:
                rows.setdefault(row[key], []).append(row)
        declaring = self._declaring[reference].get(name, ())
        return next((r for r in declaring if (title, r.number) not in self._faulty), None)

    @cached_property
    def points(self) -> Mapping[str, tuple[str, ...]]:
        """Own points by line, in order; those of faulty rows among them."""
        found: dict[str, dict[str, None]] = defaultdict(dict)
        for row in self.book.rows["Segments"]:
            for typed in (row["from_"], row["to"]):
                if row["line"] is not None and typed is not None:
                    line, point = point_key(row["line"], typed)
                    if line == row["line"]:
                        found[line][point] = None
        return {line: tuple(points) for line, points in found.items()}

    @cached_property
    def uncertain_lines(self) -> frozenset[str]:
        """Lines of which some point may be missing, because a row of segments has an error in its names."""
        rows, known = self.book.rows["Segments"], self.known("Lines.line")
        if not rows or any("line" in r.bad for r in rows):
            return frozenset(known)
        rows = tuple(r for r in rows if r["line"] in known)
        return frozenset(r["line"] for r in rows if r.bad & {"from_", "to"} or self._leads_nowhere(r, known))

    def _leads_nowhere(self, row: Row, known: Collection[str]) -> bool:
        ends = (point_key(row["line"], row[key]) for key in ("from_", "to") if row[key] is not None)
        return any(line not in known for line, _ in ends)


def point_key(line: str, typed: str) -> tuple[str, str]:
    """Line and point of a point's name: ``LINE/POINT`` names another line's, anything else the line's own."""
    other, slash, point = typed.rpartition("/")
    return (other.strip(), point.strip()) if slash else (line, typed.strip())


def title(row: Row, key: str) -> str:
    """Title of a row's column."""
    return sheet(row.sheet).column(key).title


def unused(row: Row, key: str, why: str) -> Problem:
    """A value that has no effect, said so that nobody relies on it."""
    return warning("value-unused", row.address(key), f"{title(row, key)} has no effect: {why}")


def listed(names: Iterable[str], most: int = 12) -> str:
    """Names for a message, each once and not too many."""
    all_names = list(dict.fromkeys(names))
    return ", ".join(all_names[:most]) + (", ..." if len(all_names) > most else "")
