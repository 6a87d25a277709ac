"""Worker processes: answers, faults, and processes that end in the middle."""

import os
import signal
import sys
from multiprocessing import active_children

import pytest

from pipecalc.batch.crew import Call, Here
from pipecalc.batch.pool import Pool
from tests.batch import calls


def nothing(_key: int, _what: str) -> None:
    """No display."""


def answers(crew, *wanted, step=nothing):
    with crew:
        given = [Call(key, function, arguments) for key, (function, *arguments) in enumerate(wanted)]
        return {a.key: (a.value, a.fault) for a in crew.answers(given, step)}


@pytest.mark.parametrize("crew", [Here(), Pool(2)], ids=["here", "pool"])
def test_every_call_is_answered_and_a_fault_is_an_answer_too(crew) -> None:
    steps = []
    found = answers(
        crew,
        *((calls.doubled, n) for n in range(5)),
        (calls.failing,),
        step=lambda key, what: steps.append((key, what)),
    )
    assert [found[n] for n in range(5)] == [(2 * n, "") for n in range(5)]
    assert found[5][0] is None
    assert found[5][1].strip().endswith("RuntimeError: boom")
    assert sorted(steps) == [(n, "doubling") for n in range(5)]
    assert active_children() == []


def test_a_process_that_ends_takes_its_own_call_alone_with_it(tmp_path) -> None:
    found = answers(
        Pool(2),
        (calls.ended, 7),
        (calls.ended_once, str(tmp_path / "mark")),
        *((calls.doubled, n) for n in range(3)),
    )
    assert found[0][0] is None
    assert "with status 7, 2 times" in found[0][1]
    assert found[1] == ("at the second attempt", "")
    assert [found[n + 2] for n in range(3)] == [(0, ""), (2, ""), (4, "")]


@pytest.mark.skipif(sys.platform == "win32", reason="there are no signals to end a process by")
def test_a_process_killed_from_outside(tmp_path) -> None:
    def kill(_key: int, what: str) -> None:
        if what.isdigit():
            os.kill(int(what), signal.SIGKILL)

    found = answers(Pool(1), (calls.waiting,), (calls.doubled, 4), step=kill)
    assert "by signal 9" in found[0][1]
    assert found[1] == (8, "")


def test_calls_are_drawn_as_they_can_be_started() -> None:
    drawn = []

    def endless():
        for key in range(1000):
            drawn.append(key)
            yield Call(key, calls.doubled, (key,))

    with Pool(2) as crew:
        for answer in crew.answers(endless(), nothing):
            assert answer.value == 2 * answer.key
            assert len(drawn) <= 2 + 3
            if answer.key >= 1:
                break
    assert active_children() == []


def test_a_worker_uses_one_thread_for_linear_algebra() -> None:
    assert answers(Pool(1), (calls.threads,))[0][0] == {1}
