"""How often the interpreter looks for garbage while much is being built that stays."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache


@contextmanager
def rare_collection() -> Iterator[None]:
    """Look for garbage rarely while it lasts: many records stay, and each look sees all of them."""
    usual = gc.get_threshold()
    gc.set_threshold(100_000, 50, 100)
    try:
        yield
    finally:
        gc.set_threshold(*usual)


@cache
def spare_what_is_loaded() -> None:
    """Leave what there is by now out of all further looks, once in a process: modules and tables stay to its end."""
    gc.collect()
    gc.freeze()


@contextmanager
def no_collection() -> Iterator[None]:
    """No search for cycles of objects meanwhile: records hold none, and each look sees all of them."""
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()
