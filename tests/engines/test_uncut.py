"""Which batches are looked through for ribbon whose cut is on no record."""

from __future__ import annotations

from planner.engines.uncut import uncut
from planner.events.bench import BowsFinished
from planner.events.fields import PartUse
from planner.ledgers.state import Batch, Ledgers
from tests.ledgers.telling import INCH, Telling


def _made(code: str, spool: str | None) -> BowsFinished:
    part = PartUse(role="body", length=32 * INCH, count=2, bundle=None, spool=spool)
    return BowsFinished(
        batch=code, made="classic-4in:navy", revision=1, count=2, place="home",
        parts=(part,), supplies=(),
    )  # fmt: skip


def _folded(*batches: BowsFinished) -> Ledgers:
    telling = Telling()
    for one in batches:
        telling.tell(one, "2026-11-10")
    return telling.folded()


def test_only_batches_of_parts_untold_are_looked_at() -> None:
    """A shop of many years has hundreds of thousands of others."""
    led = _folded(_made("B1", "S1"), _made("B2", None), _made("B3", "S1"))
    read: list[str] = []

    class Counting(dict[str, Batch]):
        def __getitem__(self, code: str) -> Batch:
            read.append(code)
            return super().__getitem__(code)

    led.batches = Counting(led.batches)
    uncut(led)

    assert set(read) == {"B2"}
