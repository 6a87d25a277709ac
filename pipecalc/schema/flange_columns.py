"""Columns about flanges, as Lines, Segments and Nozzles share them."""

from pipecalc.schema.build_columns import choice, measured
from pipecalc.schema.column import Column

FLANGE_CLASSES = ("150", "300", "400", "600", "900", "1500", "2500")
#: Groups of ASME B16.5 with a rating table here. The word keeps a spreadsheet program from reading 1.10 as 1.1.
FLANGE_GROUPS = tuple(f"group {n}" for n in ("1.1", "1.9", "1.10", "1.13", "2.1", "2.2", "2.3", "2.4"))
WELDING_NECK = "welding neck"
FLANGE_TYPES = (WELDING_NECK, "slip-on", "socket welding", "threaded", "lap joint")


def flange_class(meaning: str) -> Column:
    """Pressure class."""
    return choice("Flange class", "flange_class", meaning, *FLANGE_CLASSES, width=12.0)


def flange_group(where_blank: str) -> Column:
    """Material group, for the rating."""
    meaning = f"Material group of ASME B16.5 for the flange's rating; blank: {where_blank}."
    return choice("Flange material group", "flange_group", meaning, *FLANGE_GROUPS, width=12.0)


def flange_type(where_blank: str) -> Column:
    """Type of the flange."""
    meaning = f"The moment-factor method is for welding neck flanges only; blank: {where_blank}."
    return choice("Flange type", "flange_type", meaning, *FLANGE_TYPES, width=14.0)


def bolt_allowable(where_blank: str) -> Column:
    """Allowable stress of the bolts."""
    meaning = f"Allowable stress of the flange bolts at 38 °C (100 °F), for the bolting rule; blank: {where_blank}."
    return measured("stress", "Bolt allowable stress", "bolt_allowable", meaning, low=0, high=500, above_low=True)


def gasket_diameter() -> Column:
    """Reaction diameter of the gasket."""
    meaning = "Diameter at which the gasket reacts; blank: of a flat ring on the raised face of ASME B16.5."
    return measured("size", "Gasket diameter", "gasket_diameter", meaning, low=0, high=5000, above_low=True)
