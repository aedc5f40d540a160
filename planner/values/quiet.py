"""Keep the collector of cycles out of the way while many values are made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collecting(*, for_good: bool = False) -> Iterator[None]:
    """
    Put off looking for cycles until the block ends.

    Neither events nor ledgers hold cycles; looking for some among thousands of new
    objects costs as much again as making them.  With `for_good`, nothing that there is
    by the end is ever looked at again: for what is made once and kept.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if for_good:
            gc.freeze()
        if was_on:
            gc.enable()
