"""
How bodies of older versions become today's; one function a step, kept for ever.

An upcaster sees a body's fields and gives those of the next version.  It may move and
rename what is there and may not invent anything: what an event posts stays the same.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Upcaster = Callable[[dict[str, Any]], dict[str, Any]]
"""Turns a body of one version into one of the next."""


def _one_kind_a_sale(fields: dict[str, Any]) -> dict[str, Any]:
    """Bring up a sale of one kind (`made`, `count`) to one of several (`bows`)."""
    rest = {k: v for k, v in fields.items() if k not in ("made", "count")}
    return {**rest, "bows": [[fields["made"], fields["count"]]]}


def _as_it_is(fields: dict[str, Any]) -> dict[str, Any]:
    """Bring up a body whose next version only has room for more."""
    return fields


UPCASTERS: dict[tuple[str, int], Upcaster] = {
    ("bows-sold", 1): _one_kind_a_sale,
    ("fair-plan-accepted", 1): _as_it_is,
}
"""(kind, version) -> how a body of that version becomes one of the next."""
