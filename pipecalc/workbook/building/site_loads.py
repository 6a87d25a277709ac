"""Static seismic coefficients from site values of the Project sheet."""

from dataclasses import dataclass
from math import isfinite

from pipecalc.calc.seismic import (
    ALLOWABLE_STRESS_SEISMIC,
    height_factor_2022_unknown_period,
    horizontal_coefficient_2016,
    horizontal_coefficient_2022,
    vertical_coefficient,
)
from pipecalc.problems import Problems, error, note
from pipecalc.workbook.rows import Row

_SITE = ("S_DS", "height_ratio", "importance", "amplification", "response_factor")
_TITLES = {
    "S_DS": "Site S_DS",
    "height_ratio": "Height ratio z/h",
    "importance": "Importance factor I_p",
    "amplification": "Amplification a_p or C_AR",
    "response_factor": "Response factor R_p or R_po",
    "structure_ductility": "Structure ductility R_mu",
}


@dataclass(frozen=True, slots=True)
class SeismicCoefficients:
    """Shares of gravity, None where there is none."""

    horizontal: float | None
    vertical: float | None


def seismic_coefficients(row: Row, problems: Problems) -> SeismicCoefficients:
    """Coefficients as typed; those left blank follow from the site values where a standard is named.

    ASCE coefficients are at strength level; 0.7 brings them to the level of allowable stresses.
    """
    typed = SeismicCoefficients(row["seismic_horizontal"], row["seismic_vertical"])
    standard = row["seismic_standard"]
    if standard is None or (typed.horizontal is not None and typed.vertical is not None):
        return typed
    needed = (*_SITE, "structure_ductility") if standard == "ASCE 7-22" else _SITE
    if row.bad & set(needed):
        return typed  # the reader has said so
    missing = [_TITLES[key] for key in needed if row[key] is None]
    if missing:
        problems.add(
            error(
                "seismic-incomplete",
                row.address("seismic_standard"),
                f"{standard} needs {', '.join(missing)}",
                "the site values, or the coefficients themselves",
            )
        )
        return typed
    horizontal = ALLOWABLE_STRESS_SEISMIC * _horizontal(standard, row)
    vertical = ALLOWABLE_STRESS_SEISMIC * vertical_coefficient(row["S_DS"])
    if not (isfinite(horizontal) and isfinite(vertical)):
        problems.add(
            error(
                "seismic-outside",
                row.address("S_DS"),
                f"the site values lie outside the equations of {standard}",
                "S_DS above zero and factors of at least one",
            )
        )
        return typed
    return _merged(typed, horizontal, vertical, standard, row, problems)


def _horizontal(standard: str, row: Row) -> float:
    if standard == "ASCE 7-22":
        height = height_factor_2022_unknown_period(row["height_ratio"], 1.0)
        return horizontal_coefficient_2022(
            row["S_DS"],
            row["importance"],
            height,
            row["structure_ductility"],
            row["amplification"],
            row["response_factor"],
        )
    return horizontal_coefficient_2016(
        row["S_DS"], row["amplification"], row["response_factor"], row["importance"], row["height_ratio"], 1.0
    )


def _merged(
    typed: SeismicCoefficients, horizontal: float, vertical: float, standard: str, row: Row, problems: Problems
) -> SeismicCoefficients:
    found = SeismicCoefficients(
        horizontal if typed.horizontal is None else typed.horizontal,
        vertical if typed.vertical is None else typed.vertical,
    )
    problems.add(
        note(
            "seismic-computed",
            row.address("S_DS"),
            f"seismic coefficients {found.horizontal:.4f} horizontal and {found.vertical:.4f} vertical",
            f"{standard} 13.3.1 with the site values of Project, times {ALLOWABLE_STRESS_SEISMIC:g}",
            "allowable-stress level; from memory, verify against the edition of record",
        )
    )
    return found
