"""What an account held at a moment, kept up line by line, is what walking it gives."""

from __future__ import annotations

from datetime import date
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.events.base import Fact
from planner.events.bench import PartsCounted, RibbonCut
from planner.events.bows import BowsMoved, BowsOpening, StockCounted, SupplyCounted
from planner.events.restock import SpoolReceived, SupplyReceived, SupplyUsed
from planner.events.selling import BowsSold
from planner.events.spool import RibbonCameBack, RibbonSent, SpoolRead
from planner.fold import Folder, fold_facts, moment_of
from planner.ledgers.timeline import OPENING, Timeline
from planner.ledgers.track import Sums
from planner.log.codec import decode_many
from planner.values.moments import end_of_day

from .cells import balances
from .facts import ANYTHING, COUNTS, DAYS, moments
from .telling import HERE, INCH, ZONE, read_bodies

MON, TUE, WED = "2026-11-02", "2026-11-03", "2026-11-04"
marks = st.tuples(st.integers(0, 50), st.integers(0, 3000))
ENTRIES = st.tuples(st.lists(ANYTHING | COUNTS, min_size=1, max_size=3), moments)
ENDS = [end_of_day(date.fromisoformat(day), HERE) for day in DAYS]


@settings(deadline=None)
@given(st.integers(0, 2**32), st.integers(0, 3000), st.lists(marks, max_size=5))
def test_sums_to_any_mark_are_those_of_all_before_it(
    seed: int, many: int, asked: list[tuple[int, int]]
) -> None:
    """However many they are and in whatever order they came."""
    chance, sums, plain = Random(seed), Sums(), list[tuple[tuple[int, int], int]]()
    for seq in range(many):
        mark, amount = (chance.randint(0, 50), seq), chance.randint(-9, 9)
        sums.add(mark, amount)
        plain.append((mark, amount))

    for until in [*asked, (-1, 0), (99, 0)]:
        assert sums.upto(until) == sum(n for mark, n in plain if mark <= until)


def _inches(most: int) -> st.SearchStrategy[int]:
    return st.integers(1, most).map(lambda n: n * INCH)


OF_ONE = st.sampled_from([
    st.builds(SpoolReceived, spool=st.just("S1"), ribbon=st.just("navy"),
              length=_inches(90), lot=st.just("L1")),
    st.builds(SpoolRead, spool=st.just("S1"), left=_inches(90)),
    st.builds(SpoolRead, spool=st.just("S1"), left=_inches(90)),
    st.builds(RibbonCut, spool=st.just("S1"), bundle=st.just("C1"), length=_inches(9),
              count=st.integers(1, 3), role=st.just("body")),
    st.builds(PartsCounted, spool=st.just("S1"), bundle=st.just("C1"),
              length=st.just(INCH), count=st.integers(0, 9), role=st.just("body")),
    st.builds(RibbonSent, spool=st.just("S1"), length=_inches(9), how=st.just("lent")),
    st.builds(RibbonCameBack, spool=st.just("S1"), length=_inches(9)),
    st.builds(SupplyReceived, lot=st.just("U1"), supply=st.just("clip"),
              units=st.integers(1, 9)),
    st.builds(SupplyUsed, lot=st.just("U1"), units=st.integers(1, 9)),
    st.builds(SupplyCounted, counts=st.integers(0, 9).map(lambda n: (("U1", n),))),
    st.builds(BowsOpening, bows=st.integers(1, 9).map(lambda n: (("bow", n),))),
    st.builds(BowsMoved, bows=st.integers(1, 9).map(lambda n: (("bow", n),)),
              source=st.sampled_from(["home", "post"]), to=st.just("stall:F1")),
    st.builds(BowsSold, bows=st.integers(1, 9).map(lambda n: (("bow", n),)),
              taken=st.just(0), place=st.sampled_from(["home", "stall:F1"])),
    st.builds(StockCounted, place=st.sampled_from(["home", "stall:F1"]),
              counts=st.sampled_from([(), (("bow", 3),), (("other", 2),)]),
              whole=st.booleans()),
    st.builds(StockCounted, place=st.just("home"), counts=st.just(()),
              whole=st.just(True)),
]).flatmap(lambda kind: kind)  # fmt: skip
"""Facts about one spool, bundle, lot and kind, so that they meet."""
FEW = st.tuples(st.lists(OF_ONE, min_size=1, max_size=2), st.sampled_from(DAYS[:5]))


@settings(max_examples=400, deadline=None)
@given(st.lists(FEW, min_size=4, max_size=12) | st.lists(ENTRIES, max_size=12),
       st.lists(st.booleans(), min_size=12, max_size=12))  # fmt: skip
def test_what_is_carried_on_is_what_is_added_up_from_the_beginning(
    history: list[tuple[list[object], str]], asked: list[bool]
) -> None:
    """Typed in any order, late or not, read in between or not, asked now and then."""
    folder, facts = Folder(zone=ZONE, decode=decode_many, bodies=read_bodies), []
    for (events, happened), ask in zip(history, asked, strict=False):
        facts += [Fact(event, happened) for event in events]  # type: ignore[arg-type]
        folder.advance(facts[-len(events) :])
        if ask:
            balances(folder.ledgers)

    anew = fold_facts(enumerate(facts, start=1), zone=ZONE)
    assert balances(folder.ledgers) == balances(anew)


def test_ribbon_that_came_back_before_it_was_read_is_not_there_twice() -> None:
    """Lent on Monday, read on Wednesday, back on Tuesday and typed last."""
    facts = [
        Fact(SpoolReceived(spool="S1", ribbon="navy", length=90 * INCH, lot="L1"), MON),
        Fact(RibbonSent(spool="S1", length=9 * INCH, how="lent"), MON),
        Fact(SpoolRead(spool="S1", left=88 * INCH), WED),
        Fact(RibbonCameBack(spool="S1", length=9 * INCH), TUE),
    ]
    folder = Folder(zone=ZONE, decode=decode_many, bodies=read_bodies)
    for fact in facts:
        folder.advance([fact])
        balance = folder.ledgers.ribbon.balance("S1")

    assert {name: nm // INCH for name, nm in balance.accounts.items()} == {
        "opening": -90, "left": 88, "not yet explained": 2,
    }  # fmt: skip


def _walked(line: Timeline, account: str, moment: int) -> tuple[int, int | None]:
    """Walk a timeline for what an account held then, and when it was next read."""
    held, read = 0, None
    for row in line.rows():
        opened = row.source == OPENING and row.reading is None and line.book.first >= 0
        if row.when <= moment or opened:
            held += row.amount * ((row.target == account) - (row.source == account))
        elif row.reading is not None and row.target == account and read is None:
            read = row.when
    return held, read


@settings(max_examples=150, deadline=None)
@given(st.lists(ENTRIES, min_size=2, max_size=10) | st.lists(FEW, max_size=10),
       st.lists(moments, max_size=3))  # fmt: skip
def test_what_was_held_then_is_what_walking_the_timeline_gives(
    history: list[tuple[list[object], str]], asked: list[str]
) -> None:
    """Of every account, after each entry, at days' ends and odd moments."""
    folder = Folder(zone=ZONE, decode=decode_many, bodies=read_bodies)
    whens = ENDS[3:8] + [moment_of("ribbon-cut", happened, HERE) for happened in asked]
    for events, happened in history:
        folder.advance([Fact(event, happened) for event in events])  # type: ignore[arg-type]
        led = folder.ledgers
        for book in (led.ribbon, led.supplies, led.bows):
            for line in book.items.values():
                for account in {row.target for row in line.rows()}:
                    track = line.track(account)
                    assert track is not None
                    for when in whens:
                        found = track.at(when), track.read_after(when)
                        assert found == _walked(line, account, when)
