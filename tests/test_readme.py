"""The README says what the program says."""

import re

from tests.readme import README, fresh


def test_help_and_column_reference_are_fresh():
    text = README.read_text("utf-8")
    assert text == fresh(text), "stale: run python -m tests.readme"


def test_pictures_and_files_named_in_the_readme_exist():
    for target in re.findall(r"!\[[^]]*\]\(([^)]+)\)", README.read_text("utf-8")):
        assert (README.parent / target).is_file(), target
