"""Names of the files and folders that are written, made from the names of workbooks and lines.

What is written on one machine is often copied to another, so names keep to what every common system takes: no
separator and no look-alike of one, no name of a Windows device, no dot or blank at the end, and a bounded length.
Ordinary names stay as they are.
"""

import hashlib
import unicodedata
from pathlib import Path

MAX_NAME = 180  # bytes of UTF-8; leaves room for dates, locks and the like in the 255 that file systems hold
_FORBIDDEN = frozenset('<>:"/\\|?*')
_UNSEEN = ("C", "Zl", "Zp")  # control and format characters, surrogates, private use; line separators
_DEVICES = frozenset(
    (
        "con",
        "prn",
        "aux",
        "nul",
        "conin$",
        "conout$",
        *(f"{port}{n}" for port in ("com", "lpt") for n in "0123456789¹²³"),
    )
)
_NAMELESS = "workbook"


def portable(name: str) -> str:
    """A file name that every common system takes and that cannot lead out of its folder.

    Args:
        name: Any text, usually a file name with its ending.

    Returns:
        The same name where there is nothing against it.
    """
    clean = "".join("_" if _is_unfit(c) else c for c in name)
    ending = Path(clean).suffix if clean.strip(". ") else ""
    stem = clean.removesuffix(ending).rstrip(". ").lstrip(" ") or _NAMELESS
    ending = ending.rstrip(". ")
    first, dot, rest = stem.partition(".")
    if first.rstrip(" ").casefold() in _DEVICES:
        stem = f"{first.rstrip(' ')}_{dot}{rest}"
    return _shortened(stem, ending)


def same_place(name: str) -> str:
    """What two names have in common that a system without regard to case takes for one."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", portable(name)).casefold())


def clipped(text: str, most: int) -> str:
    """The text cut to a number of bytes of UTF-8, between characters."""
    return text.encode("utf-8", "replace")[:most].decode("utf-8", "ignore")


def _is_unfit(character: str) -> bool:
    plain = unicodedata.normalize("NFKC", character)
    return (
        not _FORBIDDEN.isdisjoint(plain)
        or (plain != character and "." in plain)
        or unicodedata.category(character).startswith(_UNSEEN)
    )


def _shortened(stem: str, ending: str) -> str:
    """The name, where it is too long cut and told apart by a checksum of the whole."""
    ending = ending if len(ending.encode()) <= MAX_NAME // 4 else clipped(ending, MAX_NAME // 4)
    if len((stem + ending).encode()) <= MAX_NAME:
        return stem + ending
    mark = "-" + hashlib.sha256((stem + ending).encode()).hexdigest()[:8]
    return clipped(stem, MAX_NAME - len((mark + ending).encode())).rstrip(". ") + mark + ending
