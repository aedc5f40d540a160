"""The catalogue: patterns named by their size, revised, and what can't be made."""

from __future__ import annotations

from typing import Any

import pytest

from planner.errors import Absurd
from planner.events.catalogue import PatternRevised
from planner.rules import catalogue
from planner.rules.base import Proposal

from .selling_toys import INCH, NOW, given

BODY = ("body", 27 * INCH, 1)


def _said(name: str, *, size: int = 5 * INCH, **told: Any) -> Proposal:
    told = {"parts": [BODY], "width": 7 * INCH // 8, **told}
    return catalogue.pattern(given(), name=name, size=size, when=NOW, **told)


def _revised(proposed: Proposal) -> PatternRevised:
    event = proposed.facts[0].event
    assert isinstance(event, PatternRevised)
    return event


@pytest.mark.parametrize(
    ("typed", "name", "code"),
    [
        ("classic", "classic 5 in", "classic-5-in"),
        ("classic 5 in", "classic 5 in", "classic-5-in"),
        ("Tuxedo 127 mm", "Tuxedo 127 mm", "tuxedo-127-mm"),
        ("Tuxedo 12.7cm", "Tuxedo 12.7cm", None),
    ],
)
def test_a_pattern_is_named_with_its_size_once(
    typed: str, name: str, code: str | None
) -> None:
    """Added where she left it out, and not a second time where she typed it."""
    event = _revised(_said(typed))

    assert event.name == name
    assert code is None or event.pattern == code
    assert event.revision == 1


def test_said_again_a_pattern_becomes_its_next_revision() -> None:
    """The old one stays behind the bows made by it."""
    made = catalogue.pattern(
        given(), name="classic-4in", size=4 * INCH, width=7 * INCH // 8,
        parts=[BODY], when=NOW,
    )  # fmt: skip
    first = _revised(made)
    led = given(first, first.model_copy(update={"revision": 2}))
    again = catalogue.pattern(
        led, name=first.name, size=4 * INCH, width=7 * INCH // 8, parts=[BODY], when=NOW
    )

    assert (first.revision, _revised(again).revision) == (1, 3)
    assert _revised(again).pattern == first.pattern


def test_less_ribbon_than_the_bow_is_wide_makes_no_bow() -> None:
    """Five inches of ribbon in all could just lie flat; less is a slip."""
    flat = _revised(_said("flat", parts=[("body", 2 * INCH, 2), ("knot", INCH, 1)]))

    assert sum(part.length * part.count for part in flat.parts) == 5 * INCH
    with pytest.raises(Absurd) as refused:
        _said("flat", parts=[("body", 2 * INCH, 2)])
    assert "can't be made of 4 in of ribbon" in str(refused.value)


def test_the_minutes_and_the_ribbon_of_a_bow_are_said_back() -> None:
    """Two bodies of 27 in are 54 in; a step of 90 s and one of 2 min are 3.5 min."""
    made = _said(
        "layered", parts=[("body", 27 * INCH, 2)],
        steps=[("fold", 90, False), ("glue", 120, True)],
    )  # fmt: skip

    assert made.said[0].startswith("pattern layered 5 in, revision 1: 54 in of 7/8 in")
    assert made.said[0].endswith("ribbon, 3.5 min a bow")
