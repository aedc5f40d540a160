"""What an echo says is what was done, and what can be done about it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Typed
from tests.commands.small_shop import put


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path) -> None:
    put(tmp_path)


def test_a_batch_draws_on_no_bundle_cut_after_its_day(typed: Typed) -> None:
    """Parts cut today can't be in yesterday's bows; today's bows take them."""
    late = typed("made 2 4in navy --on yesterday")
    traced = typed("trace B2").out
    same_day = typed("made 2 4in navy --on 2026-05-13")

    assert "the records have no cut for 2 body, 2 knot" in late.err
    assert "C1" not in traced
    assert "no cut" not in same_day.err
    assert "C1" in typed("trace B3").out


def test_bows_spoiled_draw_on_no_bundle_cut_later_either(typed: Typed) -> None:
    """Nothing of today's bundles is scrapped for a bow spoiled yesterday."""
    said = typed("spoiled 1 4in navy --on yesterday")

    assert said.out.splitlines()[-1] == "1 bow spoiled, classic 4 in navy"


def test_a_bundle_she_names_is_taken_though_it_was_cut_later(typed: Typed) -> None:
    """What she witnessed stands; that the days don't agree is said."""
    said = typed("made 2 4in navy --bundle C1 --bundle C2 --on yesterday")

    assert said.code == 0
    assert "C1 was cut after that day, Wed 13 May" in said.err
    assert "C1" in typed("trace B2").out


def test_a_late_cut_says_what_is_left_after_each_part(typed: Typed) -> None:
    """The knots' line goes on from the bodies', down to what the spool then holds."""
    typed("made 7 4in red")
    said = typed("cut-late B2").out.splitlines()
    left = [line.split("): ")[1] for line in said]
    spools = next(x for x in typed("spools").out.splitlines() if x.startswith("S2"))

    assert left[0].split(" → ")[0] == "50 yd"
    assert left[1].split(" → ")[0] == left[0].split(" → ")[1].removesuffix(" left")
    assert left[1].split(" → ")[1].removesuffix(" left") in spools


def test_undo_says_by_which_number_it_is_taken_back_itself(typed: Typed) -> None:
    """A second undo without a number goes one entry further back."""
    said = typed("undo").err
    restored = typed("undo 14").out

    assert "entry 14 written; to take that back: bows undo 14" in said
    assert restored.splitlines()[-1] == "so entry 11 counts again"


def test_what_was_forgotten_is_offered_no_way_back(typed: Typed) -> None:
    """Undo of it is refused with the reason; undo without a number passes over it."""
    said = typed("forget P1")
    named = typed("undo 14")
    dry = typed("undo --dry-run")

    assert "entry 14 written; it can't be taken back" in said.err
    assert "bows undo" not in said.err
    assert named.code == 2
    assert named.err.splitlines()[0] == (
        "Entry 14 deleted a person's name and notes for good; nothing can bring them "
        "back."
    )
    assert dry.out.startswith("entry 11 is taken back: person noted, order taken")


def test_taking_back_an_order_leaves_its_person_forgotten(typed: Typed) -> None:
    """What rests on the order is taken along, but not that a name was deleted."""
    typed("forget P1")
    typed("undo 11 --along")

    listed = json.loads(typed("entries --json").out)["entries"]

    assert [x["entry"] for x in listed if x["taken_back"]] == [11, 12]
    assert "Maren Oak" not in typed("people").out


def test_a_batch_without_a_cut_is_told_where_its_ribbon_may_have_come_from(
    typed: Typed,
) -> None:
    """The story and the list of spools say that the book is likely too high."""
    typed("made 7 4in red")
    story = typed("story S2")
    listed = next(x for x in typed("spools").out.splitlines() if x.startswith("S2"))

    assert story.out.splitlines()[1] == (
        "7 bows of this ribbon were made without a cut on record, likely from this "
        "spool: the 50 yd left by the book is likely too high, by up to 7 yd 14 in."
    )
    assert "Every inch" not in story.out
    assert "Batch B2 of this ribbon has no cut on record" in story.err
    assert "bows cut-late B2 --from S2" in story.err
    assert listed.endswith("7 bows made without a cut: likely less left")


def test_a_late_cut_or_a_reading_clears_what_was_too_high(typed: Typed) -> None:
    """Then the account is whole again, or says what is not yet explained."""
    typed("cut 1 4in red")
    typed("made 7 4in red")
    typed("read S2 42yd")
    read = typed("story S2").out
    typed("undo")
    typed("cut-late B2")
    cut = typed("story S2").out

    assert "6 yd 34 in of it (13.9 %) is not yet explained." in read
    assert "without a cut" not in read
    assert "Every inch is accounted for; 42 yd 22 in is still on it." in cut
    assert "without a cut" not in typed("spools").out


def test_of_two_spools_either_may_be_too_high(typed: Typed) -> None:
    """One that came in after the batch is none of them."""
    typed("in red 1.5in 50yd --paid 14.00")
    typed("made 1 4in red")
    typed("in red 1.5in 50yd --paid 14.00 --on tomorrow")

    assert "from this spool or another: the 50 yd left by the book may be too high" in (
        typed("story S3").out
    )
    assert "Every inch is accounted for" in typed("story S4").out


def test_a_sale_dated_ahead_is_named_beside_the_count_it_hides(typed: Typed) -> None:
    """Stock says what of its figures has yet to happen, and what there is without."""
    typed("sold 2 4in navy --on tomorrow")
    typed("count 10 4in navy")
    now = typed("stock")
    by_then = typed("stock --as-of tomorrow")

    assert "classic 4 in navy: −2 dated ahead (Thu 14 May) is in these figures" in (
        now.err
    )
    assert "without it there are 10" in now.err
    assert "dated ahead" not in by_then.err


def test_stock_as_of_a_day_before_the_shop_was_set_up_answers(typed: Typed) -> None:
    """What was typed late for such a day is told, in the names given since."""
    typed("have 3 4in white --on 2026-04-30")
    said = typed("stock --as-of 2026-05-01")

    assert said.code == 0, said.err
    assert said.out.splitlines()[2].split() == ["white", "3", "3"]
    assert typed("orders --all").code == 0


def test_bows_typed_for_a_day_before_their_colour_was_named_are_told(
    typed: Typed,
) -> None:
    """The first naming of a colour holds for entries of earlier days."""
    typed("colour sage --hex '#8fae8b'")
    typed("ribbon sage 1.5in")
    typed("have 3 4in sage --on 2026-04-30")
    said = typed("stock --as-of 2026-05-01")

    assert said.out.splitlines()[2].split() == ["sage", "3", "3"]


def test_a_story_credits_no_part_with_more_bows_than_it_could_become(
    typed: Typed,
) -> None:
    """Where a batch took parts of two bundles, its bows are said to be all of its."""
    typed("cut 2 4in red")
    typed("cut 3 4in red")
    typed("made 5 4in red")
    typed("sold 11 4in red")
    rows = [x for x in typed("story S2").out.splitlines() if "body for" in x]

    assert [x.split("batch ")[1] for x in rows] == [
        "B2 (of all its 5 bows, not from these parts alone) → 5 sold (inferred)"
    ] * 2


def test_ribbon_wound_off_names_the_spool_it_went_to(typed: Typed) -> None:
    """The strip's piece says which."""
    typed("spool wind S1 20yd")
    rows = [x for x in typed("story S1").out.splitlines() if "out: wound" in x]

    assert rows[-1].split("sent out: wound")[1].strip() == "spool S3"


def test_a_spool_that_may_have_been_cut_is_not_called_short(typed: Typed) -> None:
    """Seven bows without a cut on record may be what its label seems to lack."""
    typed("made 7 4in red")
    typed("read S2 42yd")
    doubtful = typed("story S2").out
    sure = typed("read S1 42yd").code == 0 and typed("story S1").out

    assert "short of its label" not in doubtful
    assert "Every inch" in doubtful
    assert "short of its label" not in str(sure)  # it was cut from, on record


def test_a_spool_read_before_its_first_cut_is_called_short(typed: Typed) -> None:
    """Nothing was made of its ribbon by then, so its label is what is wrong."""
    typed("read S2 42yd")
    typed("made 7 4in red")

    assert "8 yd short of its label" in typed("story S2").out
