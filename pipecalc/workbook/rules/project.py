"""Rules about the Project sheet."""

from collections.abc import Iterator

from pipecalc.problems import Problem
from pipecalc.workbook.rules.view import View, unused

_SITE = ("S_DS", "height_ratio", "importance", "amplification", "response_factor", "structure_ductility")


def site_values(view: View) -> Iterator[Problem]:
    """Site values do nothing without a standard, nor where both coefficients are typed."""
    row = view.book.project
    given = [key for key in _SITE if row.values.get(key) is not None]
    if row.values.get("seismic_standard") is None and "seismic_standard" not in row.bad:
        yield from (unused(row, key, "no Seismic standard is named") for key in given)
    elif row.values.get("seismic_horizontal") is not None and row.values.get("seismic_vertical") is not None:
        yield from (unused(row, key, "both coefficients are given themselves") for key in given)
