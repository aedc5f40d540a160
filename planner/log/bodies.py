"""
Bodies as a fold reads them: the fields alone, without making events of them.

What an event posts is a function of its body, and what stands in the log was validated
when it entered.  A fold therefore parses whole chunks at once and looks only at which
fields there are; a body that hasn't just those of its kind's newest version is read
strictly, as `decode` does.  What lies deeper is left to `bows check`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from operator import itemgetter

from pydantic_core import from_json

from planner.events.base import Body, body_of
from planner.log.chain import Row
from planner.log.codec import decode_many

_body = itemgetter(7)
_known: dict[int, dict[str, set[tuple[str, ...]]]]
_known = defaultdict(lambda: defaultdict(set))
"""By version and kind, the fields in their order that were found to fit."""


def read_bodies(rows: Sequence[Row]) -> list[Body]:
    """
    Give the bodies of rows of the log, in their order.

    Raises Damaged, with the seq, for the first that can't be read.
    """
    joined = b"[" + b",".join(map(_body, rows)) + b"]"
    if b":null" in joined:  # what is None is left out by all that write here
        return _strictly(rows)
    try:
        # Values differ and are soon dropped: to look each up costs more than it saves.
        found = from_json(joined, allow_inf_nan=False, cache_strings="keys")
        return [
            body if tuple(body) in _known[row[4]][row[3]] else _looked_at(row, body)
            for row, body in zip(rows, found, strict=True)
        ]
    except (ValueError, TypeError):  # broken, more than one in a row, or no fields
        return _strictly(rows)


def _looked_at(row: Row, body: Body) -> Body:
    """Look at fields that were not met before in this order."""
    from planner.events.shapes import fits  # an entry typed needs no table of all kinds

    if not fits(row[3], row[4], body):
        return _strictly([row])[0]
    _known[row[4]][row[3]].add(tuple(body))
    return body


def _strictly(rows: Sequence[Row]) -> list[Body]:
    return [body_of(event) for event in decode_many(rows)]
