"""A short, seeded part of the mutants; ``python -m tests.fuzz`` runs as many as wanted."""

from pathlib import Path

import pytest

from tests.fuzz.mutants import mutant
from tests.fuzz.outcome import outcome, work_folder


@pytest.mark.parametrize("number", range(48))
def test_a_mutant_ends_with_results_or_with_messages(number: int, tmp_path: Path) -> None:
    data, said = mutant(number)
    assert outcome(data, work_folder(tmp_path)).wrong == (), said


def test_a_mutant_is_told_by_its_number() -> None:
    assert mutant(7) == mutant(7)
    assert mutant(7) != mutant(8)
