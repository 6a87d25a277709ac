"""Whether something is there, where a folder above it may not be entered: then it is not, as far as one can see."""

from pathlib import Path


def is_folder(path: Path) -> bool:
    """Whether a folder is there that can be seen; reading or writing it says why it cannot be used."""
    try:
        return path.is_dir()
    except OSError:
        return False


def is_there(path: Path) -> bool:
    """Whether something is there that can be seen."""
    try:
        return path.exists()
    except OSError:
        return False
