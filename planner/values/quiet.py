"""Keep the collector of cycles out of the way while many values are made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collecting() -> Iterator[None]:
    """
    Put off looking for cycles until the block ends.

    Neither events nor ledgers hold cycles; looking for some among thousands of new
    objects costs as much again as making them.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
