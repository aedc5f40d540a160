"""
The laws of the ledgers, whatever she types, in whatever order, in every view.

BOWS_LONG=1 runs it longer, with fresh chance.
"""

from __future__ import annotations

import os
from datetime import date
from random import Random

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from planner.engines.audit import batch_links
from planner.events.base import Event, Fact
from planner.events.notes import EntryCorrected
from planner.fold import Hypothetical
from planner.ledgers import laws
from planner.ledgers.state import Ledgers

from .facts import ANYTHING, COUNTS, DAYS, moments
from .recount import Item, outs_by_batch, recount
from .telling import Telling

GIVERS = {
    "ribbon": ("opening",), "bows": ("opening", "finished", "returned", "found"),
    "supplies": ("opening",),
}  # fmt: skip
"""What stands on the left of each identity."""
TAKERS = {
    "ribbon": ("left", "ends", "bundle:", "bows", "trimmed", "scrapped:", "sent:",
               "not yet explained"),
    "bows": ("at:", "sold", "handed over", "given:", "written off", "taken apart",
             "reworked", "lost", "not yet explained"),
    "supplies": ("left", "used", "lost", "sent back", "not yet explained"),
}  # fmt: skip
"""What stands on the right: nothing that left an item is without a name."""
REAL = {"ribbon": ("left", "ends", "bundle:"), "bows": ("at:",), "supplies": ("left",)}

Typed = tuple[list[Event], str]
ENTRIES = st.tuples(st.lists(ANYTHING, min_size=1, max_size=3), moments)
Balances = dict[tuple[str, str], Item]


def balances(led: Ledgers) -> Balances:
    """Give all balances of the ledgers, as the naive count gives them."""
    return {
        (book.name, item): Item(dict(b.accounts), dict(b.missing))
        for book in led.books
        for item in book.items
        for b in [book.balance(item)]
    }


def touched(found: Balances) -> Balances:
    """Leave out items that come to nothing at all."""
    return {item: held for item, held in found.items() if held.shown or held.short}


def check_identities(found: Balances) -> None:
    """Hold every balance to the signed identity of its ledger."""
    for (ledger, _), held in found.items():
        assert sum(held.shown.values()) == 0
        if ledger == "money":
            continue
        given = {a: n for a, n in held.shown.items() if a in GIVERS[ledger]}
        taken = {a: n for a, n in held.shown.items() if a.startswith(TAKERS[ledger])}
        assert -sum(given.values()) == sum(taken.values())
        assert given.keys() | taken.keys() == held.shown.keys()
        assert min([n for a, n in taken.items() if a.startswith(REAL[ledger])] or [0]
                   ) >= 0  # fmt: skip


class Shop(RuleBasedStateMachine):
    """A maker who types anything at all."""

    def __init__(self) -> None:
        super().__init__()
        self.telling = Telling()

    @initialize(
        seed=st.integers(0, 2**32), history=st.lists(ENTRIES, min_size=12, max_size=12)
    )
    def begin(self, seed: int, history: list[Typed]) -> None:
        """Choose the views that are looked at, and type a season's worth."""
        self.chance = Random(seed)
        for entry in history:
            self.telling.tell(*entry)

    @rule(entry=ENTRIES)
    def tell(self, entry: Typed) -> None:
        """Something happened, on some day, and is typed now."""
        self.telling.tell(*entry)

    @rule(counts=st.lists(COUNTS, min_size=1, max_size=2), happened=moments)
    def count(self, counts: list[Event], happened: str) -> None:
        """She counts or measures, on some day."""
        self.telling.tell(counts, happened)

    @rule(clock=st.sampled_from(["T08:00", "T23:30"]), day=st.sampled_from(DAYS))
    def set_the_clock(self, clock: str, day: str) -> None:
        """Her computer's clock jumps, forward or back."""
        nothing = EntryCorrected(entries=(10**6,))
        self.telling.tell(nothing, day, typed=day + clock)

    @rule(pick=st.integers(0, 10**6), more=st.booleans())
    def take_back(self, pick: int, more: bool) -> None:
        """Correct one entry or two, corrections among them."""
        if self.telling.entries:
            last = self.telling.entries
            chosen = {pick % last + 1, *([last] if more else [])}
            self.telling.take_back(*sorted(chosen))

    @rule(pick=st.integers(0, 10**6))
    def take_back_and_restore(self, pick: int) -> None:
        """A correction corrected leaves all as it was."""
        if not self.telling.entries:
            return
        before = balances(self.telling.folded())
        mark = laws.fingerprint(self.telling.folded())
        correction = self.telling.take_back(pick % self.telling.entries + 1)
        self.telling.take_back(correction)

        assert balances(self.telling.folded()) == before
        assert laws.fingerprint(self.telling.folded()) == mark

    @rule(entry=ENTRIES)
    def suppose(self, entry: Typed) -> None:
        """An overlay counts like an entry, and leaves the log's own ledgers alone."""
        events, happened = entry
        before = list(self.telling.rows)
        real = self.telling.folded()
        mark = balances(real)
        overlaid = self.telling.folded(
            suppose=[Hypothetical(event, happened) for event in events]
        )
        new = self.telling.entries + 1
        facts = self.telling.facts + [(new, Fact(e, happened)) for e in events]

        assert touched(balances(overlaid)) == touched(recount(facts))
        assert (self.telling.rows, balances(real)) == (before, mark)
        assert balances(self.telling.folded()) == mark
        assert (overlaid.head_seq, overlaid.head_hash) == (
            real.head_seq, real.head_hash,
        )  # fmt: skip

    @invariant()
    def every_view_agrees_with_a_recount(self) -> None:
        """Now, at any prefix, as of any day, as known on any day, and both."""
        facts = self.telling.facts
        if not facts:
            return
        day, other = (date.fromisoformat(self.chance.choice(DAYS)) for _ in "12")
        known = len(self.telling.rows_known(other))
        self._agree(self.telling.folded(chunk=1), facts)
        self._agree(self.telling.folded(as_of=day), facts, as_of=day)
        self._agree(self.telling.folded(known_on=other), facts[:known])
        self._agree(
            self.telling.folded(as_of=day, known_on=other), facts[:known], as_of=day
        )
        self._prefix()

    def _prefix(self) -> None:
        prefix = Telling()
        upto = self.chance.randint(1, len(self.telling.rows))
        prefix.rows, prefix.facts = self.telling.rows[:upto], self.telling.facts[:upto]
        self._agree(prefix.folded(), prefix.facts)

    def _agree(
        self, led: Ledgers, facts: list[tuple[int, Fact]], *, as_of: date | None = None
    ) -> None:
        found = balances(led)
        check_identities(found)
        assert laws.broken(led) == []
        assert touched(found) == touched(recount(facts, as_of=as_of))
        _agree_account_by_account(led)
        self._batches_agree(led, facts, as_of)

    def _batches_agree(
        self, led: Ledgers, facts: list[tuple[int, Fact]], as_of: date | None
    ) -> None:
        """Per batch as told, the rest under "batch not told"; nothing twice."""
        outs = outs_by_batch(facts, as_of=as_of)
        told: dict[tuple[str, int], dict[str, int]] = {}
        likely: dict[tuple[str, int], int] = {}
        for batch, links in batch_links(led).items():
            for gone in links:
                out = led.batches[batch].kind, gone.seq
                if gone.known:
                    share = told.setdefault(out, {})
                    share[batch] = share.get(batch, 0) + gone.count
                else:
                    likely[out] = likely.get(out, 0) + gone.count

        for out, shares in outs.items():
            known = {batch: n for batch, n in shares.items() if batch}
            assert told.pop(out, {}) == known
            assert likely.pop(out, 0) <= shares.get("", 0)
        assert (told, likely) == ({}, {})

    @invariant()
    def what_was_taken_back_was_never_typed(self) -> None:
        """Same balances, batches, orders as without those entries."""
        out = self.telling.voided()
        clean = Telling()
        for row, (entry, fact) in zip(
            self.telling.rows, self.telling.facts, strict=True
        ):
            if entry not in out and not isinstance(fact.event, EntryCorrected):
                clean.rows.append(row)
        assert balances(clean.folded()) == balances(self.telling.folded())
        assert laws.fingerprint(clean.folded()) == laws.fingerprint(
            self.telling.folded()
        )


def _agree_account_by_account(led: Ledgers) -> None:
    """What one account is asked for alone is what the whole balance says."""
    for book in led.books:
        for item in book.items:
            accounts = map(book.names.__getitem__, book.items[item].current().held)
            asked = {a: book.held(item, a) for a in accounts if book.stock_accounts(a)}
            assert asked == {a: book.balance(item)[a] for a in asked}


LONG = bool(os.environ.get("BOWS_LONG"))
TestAnythingSheTypes = Shop.TestCase
TestAnythingSheTypes.settings = settings(
    max_examples=300 if LONG else 32,
    stateful_step_count=30 if LONG else 12,
    derandomize=not LONG,
    database=None,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
