from datetime import date, datetime, time, timedelta

import pytest

from pipecalc.workbook.cells import (
    Amount,
    Fault,
    ValueList,
    amount,
    choice,
    choices,
    count,
    day,
    density,
    is_blank,
    name,
    nps,
    reference,
    remark,
    schedule,
    values,
    yes_no,
)
from pipecalc.workbook.directions import direction

DATE = date(2025, 1, 2)

NUMBERS = [
    (4.0, Amount(4.0)), (4, Amount(4.0)), ("4", Amount(4.0)), ("-4.5", Amount(-4.5)), ("+3", Amount(3.0)),
    ("−4", Amount(-4.0)), (".5", Amount(0.5)), ("5.", Amount(5.0)), ("1e3", Amount(1000.0)), ("  7 ", Amount(7.0)),
    ("1.5e3 N", Amount(1500.0, "N")), ("4 in", Amount(4.0, "in")), ("4in", Amount(4.0, "in")), ('4"', Amount(4.0, '"')),
    ("350 °F", Amount(350.0, "°F")), ("350 º F", Amount(350.0, "° F")), ("12.5 %", Amount(12.5, "%")),
    ("1 1/2 in", Amount(1.5, "in")), ('1-1/2"', Amount(1.5, '"')), ("1/2", Amount(0.5)), ("-1 1/2", Amount(-1.5)),
    ("1½ in", Amount(1.5, "in")), ("¾", Amount(0.75)), ("3/8 in", Amount(0.375, "in")),
    ("4\xa0in", Amount(4.0, "in")), ("10 lb/in", Amount(10.0, "lb/in")), ("5 -", Amount(5.0, "-")),
    ("12'-6\"", Amount(150.0, "in")), ("12' 6 1/2\"", Amount(150.5, "in")), ("-3 ft 6 in", Amount(-42.0, "in")),
]  # fmt: skip

NO_NUMBERS = [
    ("abc", "number-text"), ("n/a", "number-text"), ("-", "number-text"), ("1/0", "number-text"),
    ("1.2.3", "number-text"), ("1 000", "number-text"), ("1,234.5", "number-comma"), ("0,5", "number-comma"),
    ("1,5 mm", "number-comma"), ("nan", "number-finite"), ("-inf", "number-finite"), ("1e999", "number-finite"),
    (float("nan"), "number-finite"), (float("inf"), "number-finite"), (True, "number-text"), (DATE, "cell-date"),
    (datetime(2025, 1, 2, 3), "cell-date"), (time(3), "cell-date"), (timedelta(hours=30), "cell-date"),
    ("9" * 400 + "/1", "number-text"), ("x" * 5000, "number-text"),
]  # fmt: skip


@pytest.mark.parametrize(("cell", "expected"), NUMBERS)
def test_a_number_is_split_from_its_unit(cell, expected):
    assert amount(cell) == expected


@pytest.mark.parametrize(("cell", "code"), NO_NUMBERS)
def test_what_is_no_number_is_refused(cell, code):
    found = amount(cell)
    assert isinstance(found, Fault)
    assert found.code == code


def test_a_comma_says_why():
    assert amount("1,234").hint.startswith("a comma may mean thousands or decimals")


def test_a_date_in_a_number_says_what_to_do():
    assert amount(DATE) == Fault(
        "cell-date", "2025-01-02 is a date", "a number", "format the cell as a number and type it again"
    )


@pytest.mark.parametrize(
    ("cell", "blank"), [(None, True), ("", True), (" \n\xa0", True), (0.0, False), (False, False), ("0", False)]
)
def test_blank_cells(cell, blank):
    assert is_blank(cell) is blank


@pytest.mark.parametrize(
    ("cell", "expected"),
    [(10.0, "10"), (10.5, "10.5"), (" P-3a ", "P-3a"), ("A\n B", "A B"), (1e6, "1000000"), (7, "7")],
)
def test_a_name_is_text(cell, expected):
    assert name(cell) == expected


def test_a_name_that_turned_to_a_date_is_refused():
    assert name(DATE).code == "cell-date"


def test_a_remark_may_be_anything():
    assert (remark(DATE), remark(3.0), remark("as built")) == ("2025-01-02", "3", "as built")


def test_a_reference_knows_the_columns_own_words():
    assert (reference("Structure", ("structure",)), reference("V-1", ("structure",))) == ("structure", "V-1")


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("yes", True),
        ("Y", True),
        (True, True),
        ("TRUE", True),
        (1.0, True),
        ("no", False),
        (False, False),
        ("n", False),
    ],
)
def test_yes_and_no(cell, expected):
    assert yes_no(cell) is expected


def test_neither_yes_nor_no():
    assert yes_no("perhaps").code == "choice-unknown"


WORDS = ("long radius", "short radius", "bend", "mitre", "none")


@pytest.mark.parametrize("cell", ["long radius", "Long Radius", " long\nradius ", "LONG_RADIUS"])
def test_a_choice_in_any_spelling(cell):
    assert choice(cell, WORDS) == "long radius"


def test_a_wrong_choice_offers_the_nearest():
    assert choice("longradius", WORDS) == Fault(
        "choice-unknown",
        '"longradius" is not among the words',
        "long radius, short radius, bend, mitre, none",
        'did you mean "long radius"?',
    )


def test_a_number_among_choices():
    assert choice(300.0, ("150", "300")) == "300"


def test_several_choices():
    assert choices(" Vendor ; Owner;; Vendor") == ("Vendor", "Owner")


SIZES = [
    (6.0, 6.0), ("6", 6.0), ('8"', 8.0), ("8 in", 8.0), ("NPS 8", 8.0), ("nps8", 8.0), ("1 1/2", 1.5), ('1-1/2"', 1.5),
    ("1½", 1.5), (1.5, 1.5), ("3/4", 0.75), ("DN 200", 8.0), ("DN200", 8.0), ("dn 40", 1.5),
]  # fmt: skip


@pytest.mark.parametrize(("cell", "expected"), SIZES)
def test_a_pipe_size(cell, expected):
    assert nps(cell) == expected


@pytest.mark.parametrize(
    ("cell", "code", "hint"),
    [
        (7.0, "nps-unknown", "nearest: 6 and 8"),
        (150.0, "nps-unknown", "did you mean DN 150?"),
        ("DN 155", "nps-unknown", ""),
        ("200 mm", "nps-unknown", "DN 200?"),
        ("6 kg", "nps-unknown", ""),
        ("big", "number-text", "leave the cell empty if it does not apply"),
        (DATE, "cell-date", "format the cell as a number and type it again"),
        ("-6", "nps-unknown", "nearest: 0.125 and 0.25"),
    ],
)
def test_what_is_no_pipe_size(cell, code, hint):
    found = nps(cell)
    assert (found.code, found.hint) == (code, hint)


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (40.0, "40"), (40, "40"), ("40", "40"), ("Sch 40", "40"), ("SCH40", "40"), ("sch. 40", "40"), ("S40", "40"),
        ("Schedule 80", "80"), ("std", "STD"), ("Std.", "STD"), ("xs", "XS"), ("XXS", "XXS"), ("10s", "10S"),
        ("10 S", "10S"), ("Sch 40S", "40S"), ("160", "160"),
    ],
)  # fmt: skip
def test_a_schedule(cell, expected):
    assert schedule(cell) == expected


@pytest.mark.parametrize("cell", ["45", "heavy", "40 mm"])
def test_what_is_no_schedule(cell):
    assert schedule(cell).code == "schedule-unknown"


DIRECTIONS = [
    ("+E", (1, 0, 0)), ("E", (1, 0, 0)), ("-E", (-1, 0, 0)), ("w", (-1, 0, 0)), ("-W", (1, 0, 0)), ("+N", (0, 1, 0)),
    ("south", (0, -1, 0)), ("+U", (0, 0, 1)), ("-U", (0, 0, -1)), ("Down", (0, 0, -1)), ("−N", (0, -1, 0)),
    ("az 0", (0, 1, 0)), ("az 90", (1, 0, 0)), ("az 180", (0, -1, 0)), ("az 30", (0.5, 0.75**0.5, 0)),
    ("az -90", (-1, 0, 0)), ("AZ30°", (0.5, 0.75**0.5, 0)), ("az 90 el 30", (0.75**0.5, 0, 0.5)),
    ("az 90, el -30", (0.75**0.5, 0, -0.5)), ("az 0 el 90", (0, 0, 1)),
    ("0.6, 0.8, 0", (0.6, 0.8, 0)), ("(3; 4; 0)", (0.6, 0.8, 0)), ("0 0 -2", (0, 0, -1)),
    ("1,1,0", (0.5**0.5,) * 2 + (0,)),
]  # fmt: skip


@pytest.mark.parametrize(("cell", "expected"), DIRECTIONS)
def test_a_direction_is_a_unit_vector(cell, expected):
    assert direction(cell) == pytest.approx(expected, abs=1e-15)


@pytest.mark.parametrize("cell", ["X", "+E+N", "0, 0, 0", "0,6; 0,8; 0", "1, 2", "az 400", "az 0 el 91", 90.0, DATE])
def test_what_is_no_direction(cell):
    assert direction(cell).code == "direction-unknown"


def test_dates():
    assert (day(DATE), day(datetime(2025, 1, 2, 0, 0)), day("2025-01-02")) == (DATE, DATE, DATE)


@pytest.mark.parametrize("cell", ["02.01.2025", "1/2/2025", 45000.0, "soon", "2025-13-01"])
def test_what_is_no_date(cell):
    assert day(cell).code == "date-unknown"


FLUIDS = ("water", "steam", "empty")


@pytest.mark.parametrize(
    ("cell", "expected"),
    [("Water", "water"), (" steam ", "steam"), (900.0, Amount(900.0)), ("56 lb/ft3", Amount(56.0, "lb/ft3"))],
)
def test_a_density_is_a_number_or_a_word(cell, expected):
    assert density(cell, FLUIDS) == expected


def test_an_unknown_fluid_offers_the_nearest():
    assert (density("watr", FLUIDS).code, density("watr", FLUIDS).hint) == ("choice-unknown", 'did you mean "water"?')


@pytest.mark.parametrize(("cell", "expected"), [(3.0, 3), ("2", 2), (0.0, 0)])
def test_a_count(cell, expected):
    assert count(cell) == expected


@pytest.mark.parametrize("cell", [2.5, -1.0, "3 mm"])
def test_what_is_no_count(cell):
    assert count(cell).code == "number-whole"


@pytest.mark.parametrize(
    ("cell", "items"),
    [
        ("10; 20 ;30", ("10", "20", "30")),
        ("1 1/2; 2", ("1 1/2", "2")),
        ("none; 5 mm", ("none", "5 mm")),
        (12.5, ("12.5",)),
        ("0 : 1 : 0.25", ("0", "0.25", "0.5", "0.75", "1")),
        ("0.1:0.3:0.1", ("0.1", "0.2", "0.3")),
        ("100 : 300 : 100 mm", ("100 mm", "200 mm", "300 mm")),
        ("3:1:-1", ("3", "2", "1")),
    ],
)
def test_values_of_a_study(cell, items):
    found = values(cell)
    assert isinstance(found, ValueList)
    assert found.items == items


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("1;;2", "values-unknown"),
        ("1:2", "values-unknown"),
        ("1:2:0", "values-unknown"),
        ("1:2:-1", "values-unknown"),
        ("1:1e9:1", "values-unknown"),
        ("1:2:x", "values-unknown"),
        (time(10, 20, 5), "cell-date"),
    ],
)
def test_what_is_no_list_of_values(cell, code):
    assert values(cell).code == code
