"""The rush answer as a page she can show across the table."""

from __future__ import annotations

import re
from datetime import date, datetime
from html import unescape
from zoneinfo import ZoneInfo

import html5lib
import pytest

from planner.engines.rush import promise, rush
from planner.events.base import Fact
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    Step,
)
from planner.events.fields import LineItem
from planner.events.orders import OrderTaken
from planner.events.restock import SpoolReceived
from planner.events.shop import BenchHoursSet, BenchStretch, ShopSetUp
from planner.fold import fold_facts
from planner.pages import page
from planner.views import promise_builder, rush_builder

ZONE = "America/New_York"
INCH = 25_400_000
LINE = LineItem(line=1, what="bow:navy", count=9, price=800, kinds=(("bow:navy", 1),))
EVENTS = (
    ShopSetUp(name="Tarn Bows", zone=ZONE, currency="USD", units="us", paper="letter"),
    ColourNamed(colour="navy", name="navy", hex="#1f2a5a", family="navy"),
    RibbonNamed(ribbon="navy", colour="navy", width=INCH, material="satin"),
    PatternRevised(
        pattern="bow", revision=1, name="bow 4 in", size=4 * INCH, width=INCH,
        parts=(Part(role="body", length=36 * INCH),),
        steps=(Step(name="make", seconds=600),), set_up=20, setting=0,
    ),
    SpoolReceived(spool="S1", ribbon="navy", length=3600 * INCH, lot="S1"),
    BenchHoursSet(
        words="every day",
        rules=(
            BenchStretch(
                rule="FREQ=DAILY", start="20:00", end="22:00", first="2026-11-01"
            ),
        ),
    ),
    OrderTaken(order="O1", person="maren", lines=(LINE,), due="2026-11-25"),
)  # fmt: skip


@pytest.fixture(name="led", scope="module")
def _led():
    return fold_facts(
        [(n, Fact(e, "2026-11-20")) for n, e in enumerate(EVENTS, 1)], zone=ZONE
    )


@pytest.fixture(name="shown", scope="module")
def _shown(led):
    answer = rush(
        led, now=datetime(2026, 11, 23, 18, 0, tzinfo=ZoneInfo(ZONE)),
        today=date(2026, 11, 23), kind="bow:navy", count=10, due=date(2026, 11, 24),
        draws=500, costs=True,
    )  # fmt: skip
    return rush_builder.build(led, answer, made="now", names=None)


def test_it_is_well_formed_and_says_the_answer_the_ways_and_the_moves(shown):
    text = page(shown)
    html5lib.HTMLParser(strict=True).parse(text)
    text = unescape(text)
    assert shown.short in text
    assert [way.number for way in shown.ways] == [1, 2]
    for heading in ("Ways to say yes", "Orders it would move"):
        assert heading in text
    for way in shown.ways:
        assert way.chance_shown in text
    (move,) = shown.moves
    assert f"{move.chance_before_shown} → {move.chance_after_shown}" in text


def test_the_answer_is_said_once(shown):
    """The sentence says yes or no; the sign beside it says nothing twice."""
    heading = page(shown).partition('class="short"')[2].partition("</p>")[0]
    words = " ".join("".join(re.split(r"<[^>]*>", f"<p{heading}")).split())

    assert unescape(words) == shown.short


def test_the_days_to_promise_are_a_page_too(led):
    """How sure each day is, and what to type to take it."""
    answer = promise(
        led, now=datetime(2026, 11, 23, 18, 0, tzinfo=ZoneInfo(ZONE)),
        today=date(2026, 11, 23), kind="bow:navy", count=10, draws=500,
    )  # fmt: skip
    view = promise_builder.build(led, answer, made="now")
    text = page(view)
    html5lib.HTMLParser(strict=True).parse(text)

    assert view.short in unescape(text)
    for day in view.days:
        assert day.chance_shown in text
        assert day.typed in text
    assert "maren" not in text.lower()


def test_it_names_no_other_customer(shown):
    assert {move.who for move in shown.moves} == {""}
    assert "maren" not in page(shown).lower()


def test_every_way_says_what_to_type(shown):
    assert shown.ways[1].typed == "bows rush 10 4in navy --due 2026-11-24 --take 2"
