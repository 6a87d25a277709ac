"""The process beside a worker of a cluster: real processes, one of which ends in the middle of a call."""

import os
import subprocess
import sys

from pipecalc.batch.companion import Companion
from pipecalc.batch.crew import Answer, Call, how_it_ended
from pipecalc.batch.versions import versions


def test_a_process_beside_a_worker_carries_out_calls_and_is_replaced_once() -> None:
    companion = Companion()
    assert companion.answer(Call(1, _shown, ("a",)), versions()) == Answer(1, "a")
    assert companion.answer(Call(2, _ended, (3,)), versions()) == Answer(2, None, how_it_ended(3))
    assert "TypeError" in companion.answer(Call(3, _shown, ()), versions()).fault
    assert "pipecalc 0 here" in companion.answer(Call(4, _shown, ("b",)), {**versions(), "pipecalc": "0"}).fault
    assert companion.answer(Call(5, _shown, ("c",)), versions()) == Answer(5, "c")
    companion.close()


def test_it_ends_with_the_process_that_holds_it() -> None:
    held = "from tests.batch.test_companion import *; from tests.batch.test_companion import _number; "
    held += "print(Companion().answer(Call(1, _number, ()), versions()).value)"
    paths = os.pathsep.join(map(str, sys.path))
    told = subprocess.run(
        [sys.executable, "-c", held],
        env=os.environ | {"PYTHONPATH": paths},
        capture_output=True,
        timeout=60,
        check=True,
    )
    # The output would not have ended while another process had it open.
    assert int(told.stdout) != os.getpid()
    assert told.stderr == b""


def _number(*, progress) -> int:
    return os.getpid()


def _shown(text: str, *, progress) -> str:
    sys.stdout.write(text)  # must not stand among the answers
    sys.stdout.flush()
    return text


def _ended(status: int, *, progress) -> None:
    os._exit(status)
