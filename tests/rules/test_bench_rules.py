"""The bench: given what lies there, when she cuts or makes, then these events."""

from __future__ import annotations

from planner.events.base import Fact
from planner.events.bench import BowsFinished, BowsSpoiled, RibbonCut
from planner.events.catalogue import Part, PatternRevised
from planner.events.fields import PartUse
from planner.events.restock import SpoolReceived
from planner.events.spool import SpoolRead
from planner.ledgers.state import Ledgers
from planner.rules import bench
from planner.rules.base import Proposal

from .selling_toys import INCH, NAVY, NOW, given

LOOPED = PatternRevised(
    pattern="looped-4in", revision=1, name="looped 4 in", size=4 * INCH,
    width=7 * INCH // 8, setting=90,
    parts=(Part(role="body", length=27 * INCH),
           Part(role="loop", length=20 * INCH, count=2)),
)  # fmt: skip
KIND = "looped-4in:navy"
"""One body of 27 in and two loops of 20 in: 67 in a bow, and an hour and a half."""


def events(proposed: Proposal) -> list[object]:
    """Give the events of a proposal."""
    return [fact.event for fact in proposed.facts]


def two_spools(left: int) -> Ledgers:
    """Lay a begun spool with so many inches beside a whole one."""
    came = [
        SpoolReceived(spool=code, ribbon="navy", length=50 * 36 * INCH, lot="L1")
        for code in ("S1", "S2")
    ]
    cut = RibbonCut(bundle="C1", spool="S1", role="body", length=27 * INCH, count=1)
    read = Fact(SpoolRead(spool="S1", left=left * INCH), "2026-11-21")
    return given(LOOPED, *came, cut, read)


def spools_cut(led: Ledgers, bows: int) -> list[tuple[str, int, int]]:
    """Cut for so many bows; give each bundle's spool, inches a part and count."""
    made = bench.cut(led, kind=KIND, bows=bows, when=NOW)
    cuts = [e for e in events(made) if isinstance(e, RibbonCut)]
    return [(cut.spool, cut.length // INCH, cut.count) for cut in cuts]


def test_a_begun_spool_is_taken_if_it_holds_all_parts_of_all_bows() -> None:
    """Three bows want 201 in of navy, body and loops together, from one spool."""
    assert spools_cut(two_spools(201), 3) == [("S1", 27, 3), ("S1", 20, 6)]
    assert spools_cut(two_spools(200), 3) == [("S2", 27, 3), ("S2", 20, 6)]


def test_a_batch_whose_glue_must_set_says_when_it_may_go_out() -> None:
    """Made at eight in the evening with ninety minutes to set."""
    slow = bench.made(given(LOOPED), kind=KIND, bows=2, when=NOW)
    quick = bench.made(given(), kind=NAVY, bows=2, when=NOW)

    assert [e.ready for e in events(slow) if isinstance(e, BowsFinished)] == [
        "2026-11-25T21:30:00-05:00"
    ]
    assert "the glue wants 90 min to set before they go out" in slow.said
    assert [e.ready for e in events(quick) if isinstance(e, BowsFinished)] == [None]


def _waiting(*bundles: tuple[str, str, int, int]) -> Ledgers:
    """Lay bundles of S1 ready: code, role, inches, count."""
    came = SpoolReceived(spool="S1", ribbon="navy", length=50 * 36 * INCH, lot="L1")
    cuts = [
        RibbonCut(bundle=code, spool="S1", role=role, length=inches * INCH, count=count)
        for code, role, inches, count in bundles
    ]
    return given(LOOPED, came, *cuts)


def _use(bundle: str, role: str, inches: int, count: int) -> PartUse:
    return PartUse(
        role=role, length=inches * INCH, count=count, bundle=bundle, spool="S1"
    )


def test_a_bow_spoiled_takes_its_parts_with_it_but_for_those_kept() -> None:
    """One body is scrapped, and both loops lie ready for another bow."""
    led = _waiting(("C1", "body", 27, 3), ("C2", "loop", 20, 6))
    made = bench.spoiled(led, kind=KIND, bows=1, when=NOW, keep=("loop",))

    assert events(made) == [
        BowsSpoiled(
            made=KIND, revision=1, count=1, scrapped=(_use("C1", "body", 27, 1),),
            kept=(_use("C2", "loop", 20, 2),),
        )
    ]  # fmt: skip
    assert made.said == ("1 bow spoiled, looped 4 in navy: 27 in of ribbon scrapped",)


def test_parts_come_from_the_oldest_bundles_first_and_the_rest_from_none() -> None:
    """Three bows want three bodies: two of C1, one of C2; of six loops one is there."""
    led = _waiting(
        ("C1", "body", 27, 2), ("C2", "body", 27, 2), ("C3", "body", 26, 9),
        ("C4", "loop", 20, 1),
    )  # fmt: skip
    made = bench.made(led, kind=KIND, bows=3, when=NOW)

    batch = next(e for e in events(made) if isinstance(e, BowsFinished))
    assert batch.parts == (
        _use("C1", "body", 27, 2), _use("C2", "body", 27, 1), _use("C4", "loop", 20, 1),
        PartUse(role="loop", length=20 * INCH, count=5),
    )  # fmt: skip
    assert "the records have no cut for 5 loop of these" in made.warnings[0]


def test_what_was_cut_for_a_kind_is_taken_for_no_other() -> None:
    """Its own bundle goes first, then one cut ahead; the red kind's body stays."""
    led = _waiting(("C1", "body", 27, 1), ("C2", "body", 27, 1), ("C3", "body", 27, 1))
    bundles = {
        code: led.bundles[code]._replace(for_kind=kind)
        for code, kind in (("C1", "looped-4in:red"), ("C2", None), ("C3", KIND))
    }
    led.bundles.update(bundles)
    made = bench.spoiled(led, kind=KIND, bows=3, when=NOW)

    (spoiled,) = events(made)
    assert isinstance(spoiled, BowsSpoiled)
    assert spoiled.scrapped == (
        _use("C3", "body", 27, 1), _use("C2", "body", 27, 1)
    )  # fmt: skip
