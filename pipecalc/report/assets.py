"""Where templates and fonts are found: beside the installed package first, then in the checkout."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1]
FONTS = Path(__file__).resolve().parent / "fonts"

#: Family name used in style sheets and figures; it exists only through the package's own font files.
FAMILY = "Note Sans"

#: Font file, weight and style of each face.
FACES: tuple[tuple[str, int, str], ...] = (
    ("IBMPlexSans-Regular.ttf", 400, "normal"),
    ("IBMPlexSans-SemiBold.ttf", 600, "normal"),
    ("IBMPlexSans-Italic.ttf", 400, "italic"),
)


def templates_folder() -> Path:
    """Folder of the note's templates.

    Raises:
        FileNotFoundError: Neither the installed place nor a checkout holds them.
    """
    for place in (PACKAGE / "templates", PACKAGE.parent / "templates"):
        if (place / "note.html.j2").is_file():
            return place
    raise FileNotFoundError(f"the note's templates are missing beside {PACKAGE}")
