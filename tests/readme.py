"""The parts of the README that the program writes: help text and column reference.

``python -m tests.readme`` writes them anew; a test fails when they are stale.
"""

import re
from contextlib import redirect_stdout, suppress
from io import StringIO
from pathlib import Path

from pipecalc.cli import main
from pipecalc.schema.reference import with_reference

README = Path(__file__).parents[1] / "README.md"
BEGIN, END = "<!-- help: begin -->", "<!-- help: end -->"


def help_text(*command: str) -> str:
    """What the command line prints for --help, at a fixed width."""
    import os

    os.environ["COLUMNS"] = "100"
    shown = StringIO()
    with redirect_stdout(shown), suppress(SystemExit):
        main([*command, "--help"])
    return shown.getvalue()


def fresh(text: str) -> str:
    """The README with its written parts made anew."""
    commands = ((), ("blank",), ("check",), ("run",), ("compare",), ("advise",), ("study",), ("verify",))
    blocks = "\n".join(f"```text\n{help_text(*c)}```\n" for c in commands)
    pattern = re.compile(re.escape(BEGIN) + ".*?" + re.escape(END), re.DOTALL)
    return with_reference(pattern.sub(lambda _: f"{BEGIN}\n\n{blocks}\n{END}", text))


if __name__ == "__main__":
    README.write_text(fresh(README.read_text("utf-8")), "utf-8")
