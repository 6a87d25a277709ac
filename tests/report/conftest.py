"""One rendered note for all tests of the report."""

from collections.abc import Iterator
from pathlib import Path

import findings
import plants
import pypdfium2
import pytest
from note_files import Files, write_note


@pytest.fixture(scope="session")
def files(tmp_path_factory: pytest.TempPathFactory) -> Files:
    plant = plants.plant()
    folder = tmp_path_factory.mktemp("note")
    return write_note(plant, findings.results(plant), plants.TRACE, folder, b"the workbook's bytes")


@pytest.fixture(scope="session")
def pages(files: Files) -> list[str]:
    return list(page_texts(files.pdf))


def page_texts(path: Path) -> Iterator[str]:
    document = pypdfium2.PdfDocument(path)
    for i in range(len(document)):
        page = document[i]
        text = page.get_textpage()
        yield text.get_text_range().replace("\r\n", "\n").replace("\ufffe", "-")
        text.close()
        page.close()
    document.close()
