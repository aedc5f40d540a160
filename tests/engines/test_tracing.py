"""From a spool to whom it reached, and from a batch or an order to its spools."""

from __future__ import annotations

from planner.engines.tracing import backward, backward_of_order, forward
from planner.events.base import Event
from planner.events.bench import BowsFinished, RibbonCut
from planner.events.bows import BatchNamed, LabelsPrinted
from planner.events.catalogue import Part, PatternRevised, RibbonNamed, SupplyNamed
from planner.events.fields import LineItem, PartUse
from planner.events.orders import OrderHandedOver, OrderTaken
from planner.events.restock import SpoolReceived, SupplyReceived
from planner.events.selling import BowsSold
from planner.events.shop import ShopSetUp
from planner.ledgers.state import Ledgers
from planner.plans.tracing import BundleTrace, Source, Went
from tests.ledgers.telling import INCH, YARD, told

NAVY = "classic-4in:navy"
DAYS = ("2026-05-01", "2026-05-02", "2026-05-03", "2026-05-04", "2026-05-05")


def opening() -> list[tuple[Event, str]]:
    """A shop with two navy spools, one white, and clips."""
    body = Part(role="body", length=32 * INCH)
    return [(event, DAYS[0]) for event in (
        ShopSetUp(name="Reed", zone="UTC", currency="USD", units="us", paper="letter"),
        RibbonNamed(ribbon="navy", colour="navy", width=38_100_000, material="satin"),
        RibbonNamed(ribbon="white", colour="white", width=38_100_000, material="satin"),
        PatternRevised(pattern="classic-4in", revision=1, name="Classic 4 in",
                       size=4 * INCH, width=38_100_000, parts=(body,)),
        SupplyNamed(supply="clip", name="clip"),
        SpoolReceived(spool="S1", ribbon="navy", length=50 * YARD, lot="L1",
                      supplier="Tern and Daughters"),
        SpoolReceived(spool="S2", ribbon="navy", length=50 * YARD, lot="L2"),
        SpoolReceived(spool="S3", ribbon="white", length=50 * YARD, lot="L3"),
        SupplyReceived(lot="U1", supply="clip", units=100, supplier="Dock Wire"),
    )]  # fmt: skip


def cut(bundle: str, spool: str, count: int) -> RibbonCut:
    """Bodies cut off a spool."""
    return RibbonCut(bundle=bundle, spool=spool, role="body", length=32 * INCH,
                     count=count, for_kind=NAVY, revision=1)  # fmt: skip


def made(batch: str, count: int, bundle: str = "", spool: str = "") -> BowsFinished:
    """A batch, its bundle told or not."""
    body = PartUse(role="body", length=32 * INCH, count=count, bundle=bundle or None,
                   spool=spool or None)  # fmt: skip
    return BowsFinished(batch=batch, made=NAVY, revision=1, count=count, parts=(body,),
                        supplies=(("U1", count),))  # fmt: skip


def sold(count: int, batch: str | None = None) -> BowsSold:
    """Bows sold at home, the batch named or not."""
    return BowsSold(bows=((NAVY, count),), taken=800 * count, place="home", batch=batch)


def taken(code: str, person: str, count: int) -> OrderTaken:
    """An order for a person."""
    line = LineItem(line=1, what=NAVY, count=count, price=800, kinds=((NAVY, 1),))
    return OrderTaken(order=code, person=person, lines=(line,), due=DAYS[4])


def shop() -> Ledgers:
    """Twelve from S1, six from nobody knows where; an order, a named sale, a sale."""
    return told(*history())


def history() -> list[tuple[Event, str]]:
    """What was typed, in order."""
    return [
        *opening(),
        (cut("C1", "S1", 14), DAYS[1]),
        (made("B1", 12, "C1", "S1"), DAYS[1]),
        (LabelsPrinted(batch="B1", count=12), DAYS[1]),
        (made("B2", 6), DAYS[2]),
        (taken("O1", "P1", 4), DAYS[2]),
        (OrderHandedOver(order="O1", bows=((NAVY, 4),), earned=3200), DAYS[3]),
        (sold(3, "B1"), DAYS[3]),
        (sold(2), DAYS[4]),
    ]


def test_a_spool_leads_to_its_bundles_and_to_the_parts_still_waiting() -> None:
    found = forward(shop(), "S1")

    assert found.bundles == (
        BundleTrace("C1", "body", 32 * INCH, 14, 2, DAYS[1], ("B1",)),
    )
    assert found.left == 50 * YARD - 14 * 32 * INCH


def test_a_spool_leads_to_batches_known_and_possible() -> None:
    """Navy of nobody knows which spool could be off either navy one, never white."""
    led = shop()

    assert [(b.batch, b.sure) for b in forward(led, "S1").batches] == [
        ("B1", "known"), ("B2", "possible"),
    ]  # fmt: skip
    assert [(b.batch, b.sure) for b in forward(led, "S2").batches] == [
        ("B2", "possible")
    ]
    assert forward(led, "S3").batches == ()


def test_a_batch_named_afterwards_pins_what_left() -> None:
    """Three of the order's four were of the second batch, she says: one is inferred."""
    pinned = BatchNamed(batch="B2", entry=15, seq=15, count=3)
    led = told(*history(), (pinned, DAYS[4]))
    first, second = (backward(led, code).batches[0] for code in ("B1", "B2"))

    assert [(w.where, w.count, w.sure) for w in second.went if w.seq == 15] == [
        ("order O1", 3, "known"), ("order O1", 1, "possible"),
    ]  # fmt: skip
    assert [(w.where, w.count, w.sure) for w in first.went if w.seq == 15] == [
        ("order O1", 1, "inferred")
    ]
    assert backward_of_order(led, "O1").untold == 0


def test_naming_more_than_left_pins_no_more_than_left() -> None:
    """And naming what was taken back since, or other bows, pins nothing."""
    more = BatchNamed(batch="B2", entry=17, seq=17, count=9)
    gone = BatchNamed(batch="B2", entry=99, seq=99, count=1)
    led = told(*history(), (more, DAYS[4]), (gone, DAYS[4]))
    known = [w for w in backward(led, "B2").batches[0].went if w.sure == "known"]

    assert [(w.where, w.count, w.seq) for w in known] == [("sold", 2, 17)]


def test_a_batch_leads_to_orders_people_and_sales_and_what_is_still_here() -> None:
    """Of 12, 3 were sold by name; first in, first out gives 4 to the order, 2 sold."""
    batch = forward(shop(), "S1").batches[0]

    assert [(w.where, w.count, w.sure, w.person) for w in batch.went] == [
        ("sold", 3, "known", ""),
        ("order O1", 4, "inferred", "P1"),
        ("sold", 2, "inferred", ""),
    ]
    assert (batch.count, batch.labelled, batch.places) == (12, 12, ("home",))
    # 9 of 18 are left; at most 9 of these 12, at least 3, likely 3.
    assert batch.here == (3, 3, 9)


def test_what_could_have_gone_from_a_later_batch_is_in_its_possible_set() -> None:
    """By first in, first out none of B2 is gone; nothing says so, so it may be."""
    batch = forward(shop(), "S2").batches[0]

    assert [(w.where, w.count, w.sure, w.person) for w in batch.went] == [
        ("order O1", 4, "possible", "P1"), ("sold", 2, "possible", ""),
    ]  # fmt: skip
    assert batch.here == (0, 6, 6)


def test_every_person_that_got_a_bow_of_the_spool_is_in_the_trace() -> None:
    """Second method: try every way the 18 bows could have gone; none is left out."""
    led = shop()
    for spool, batch in (("S1", "B1"), ("S2", "B2")):
        trace = next(b for b in forward(led, spool).batches if b.batch == batch)
        by = {w.where: w.count for w in trace.went if w.sure != "known"}
        size, named = {"B1": (12, 3), "B2": (6, 0)}[batch]
        other = 18 - 3 - (size - named)
        for order in range(5):
            for sale in range(3):
                fits = (
                    order + sale <= size - named and (4 - order) + (2 - sale) <= other
                )
                if fits:
                    assert order <= by["order O1"]
                    assert sale <= by["sold"]


def test_of_a_sale_that_likely_took_from_two_batches_all_could_be_of_either() -> None:
    """Eight of 6 and 6: likely 6 and 2; but of the second batch it could be 6."""
    led = told(
        *opening(), (made("B1", 6), DAYS[1]), (made("B2", 6), DAYS[2]),
        (sold(8), DAYS[3]),
    )  # fmt: skip
    first, second = forward(led, "S1").batches

    assert [(w.count, w.sure) for w in first.went] == [(6, "inferred")]
    assert [(w.count, w.sure) for w in second.went] == [
        (2, "inferred"), (4, "possible"),
    ]  # fmt: skip
    assert (first.here, second.here) == ((0, 0, 4), (0, 4, 4))


def test_a_batch_leads_back_to_spools_lots_suppliers_and_days() -> None:
    found = backward(shop(), "B1")

    assert found.sources == (
        Source("B1", "S1", "body", "L1", "Tern and Daughters", DAYS[0], "known", "C1",
               DAYS[1], 12),
        Source("B1", "clip U1", "clip", "U1", "Dock Wire", DAYS[0], "known", parts=12),
    )  # fmt: skip


def test_an_untold_batch_leads_back_to_every_spool_it_could_be_of() -> None:
    found = [(s.what, s.sure) for s in backward(shop(), "B2").sources]

    assert found == [("S1", "possible"), ("S2", "possible"), ("clip U1", "known")]


def test_a_spool_that_came_after_a_batch_was_made_could_not_be_in_it() -> None:
    later = SpoolReceived(spool="S4", ribbon="navy", length=50 * YARD, lot="L4")
    led = told(*opening(), (made("B2", 6), DAYS[2]), (later, DAYS[3]))

    assert "S4" not in [s.what for s in backward(led, "B2").sources]
    assert forward(led, "S4").batches == ()


def test_an_order_leads_back_to_batches_the_surest_first() -> None:
    found = backward_of_order(shop(), "O1")

    assert [(b.batch, b.sure) for b in found.batches] == [
        ("B1", "inferred"), ("B2", "possible"),
    ]  # fmt: skip
    assert {s.what for s in found.sources} == {"S1", "S2", "clip U1"}
    assert found.untold == 0


def test_an_order_handed_over_by_batch_is_known() -> None:
    handed = OrderHandedOver(order="O1", bows=((NAVY, 4),), earned=3200, batch="B1")
    led = told(
        *opening(), (cut("C1", "S1", 14), DAYS[1]),
        (made("B1", 12, "C1", "S1"), DAYS[1]), (taken("O1", "P1", 4), DAYS[2]),
        (handed, DAYS[3]),
    )  # fmt: skip
    found = backward_of_order(led, "O1")

    assert [(b.batch, b.sure) for b in found.batches] == [("B1", "known")]
    assert found.batches[0].here == (8, 8, 8)
    assert found.batches[0].went == (
        Went("B1", "order O1", 4, "known", found.batches[0].went[0].seq, "O1", "P1"),
    )


def test_bows_of_an_order_that_were_never_entered_as_made_are_counted() -> None:
    led = told(
        *opening(), (taken("O1", "P1", 4), DAYS[2]),
        (OrderHandedOver(order="O1", bows=((NAVY, 4),), earned=3200), DAYS[3]),
    )  # fmt: skip
    found = backward_of_order(led, "O1")

    assert (found.batches, found.untold) == ((), 4)
