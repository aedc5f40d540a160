"""Build the view of a trace."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from planner.engines.tracing import backward, backward_of_order, forward
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import fairs
from planner.ledgers.state import Ledgers
from planner.plans.tracing import BatchTrace, BundleTrace, Source, Went
from planner.rules.base import plural
from planner.values.daywords import spoken
from planner.views import naming
from planner.views.common import Swatch
from planner.views.foot import foot
from planner.views.story_builder import ISOLATE, POP, EventOf, Names
from planner.views.trace import (
    Trace,
    TracedBatch,
    TracedBundle,
    TracedSource,
    TracedWent,
)

NOTE = (
    "Known: an entry names the link. Inferred: worked out first in, first out. "
    "Possible: nothing says, and it could be; a possible number is the most it can be."
)
_RANK = ("known", "inferred", "possible")


def build(
    led: Ledgers, code: str, *, today: date, made: str, event_of: EventOf,
    names: Names | None = None, as_of: str = "", known_on: str | None = None,
) -> Trace:  # fmt: skip
    """Trace a spool forward, or a batch or an order back, ready to show."""
    look = _Look(led, event_of, names or {})
    parts = look.spool(code) if code in led.spools else look.back(code)
    return Trace(
        shop=naming.shop_view(led), code=code, note=NOTE,
        foot=foot(led, as_of=as_of or today.isoformat(), known_on=known_on, made=made),
        **parts,
    )  # fmt: skip


def _day(iso: str) -> str:
    return spoken(date.fromisoformat(iso)) if iso else ""


def _reach(bows: int, known: int, possible: int) -> str:
    words = f"{plural(known, 'batch', 'batches')}, {naming.bows(bows)}, are known to "
    words += "hold its ribbon"
    if possible:
        words += f"; {plural(possible, 'more batch', 'more batches')} could"
    return f"{words}."


class _Look:
    """What building one trace looks things up in."""

    def __init__(self, led: Ledgers, event_of: EventOf, names: Names) -> None:
        self.led, self.event_of, self.names = led, event_of, names
        self.cat: Catalogue = catalogue(led)

    def spool(self, code: str) -> dict[str, Any]:
        """Give the fields of a forward trace."""
        found = forward(self.led, code)
        base = self.led.spools[code]
        batches = [self.batch(b) for b in found.batches]
        known = [b for b in found.batches if b.sure == "known"]
        bows = sum(b.count for b in known)
        return {
            "what": f"{self.cat.ribbon_name(base.ribbon)}, {base.lot}, from "
            f"{base.supplier}",
            "forward": True,
            "swatches": (naming.swatch_of_ribbon(self.cat, base.ribbon),),
            "short": _reach(bows, len(known), len(found.batches) - len(known)),
            "pull": tuple(self.pull(code, found.left, found.ends, found.bundles,
                                    batches)),
            "people": self.people(found.batches),
            "bundles": tuple(self.bundle(b) for b in found.bundles),
            "batches": tuple(batches),
        }  # fmt: skip

    def back(self, code: str) -> dict[str, Any]:
        """Give the fields of a trace of a batch or an order."""
        order = code not in self.led.batches
        found = (backward_of_order if order else backward)(self.led, code)
        batches = tuple(self.batch(b) for b in found.batches)
        sources = tuple(self.source(s) for s in found.sources)
        known = dict.fromkeys(s.what for s in found.sources if s.sure == "known")
        open_ = {s.what for s in found.sources if s.sure == "possible"} - known.keys()
        words = f"Known: {', '.join(known) or 'nothing'}"
        words += f"; possible: {len(open_)} more spools." if open_ else "."
        if found.untold:
            words += f" Of {naming.bows(found.untold)} the batch isn't known."
        return {
            "what": f"order {code}" if order else self.batch_words(code),
            "forward": False, "swatches": () if order else self.swatches(code),
            "short": words, "people": () if order else self.people(found.batches),
            "pull": tuple(self.pull_batches(batches)), "batches": batches,
            "sources": sources,
        }  # fmt: skip

    def batch_words(self, code: str) -> str:
        """Say a batch."""
        made = self.led.batches[code]
        return f"{made.count} × {naming.typed(self.cat, made.kind)}"

    def swatches(self, code: str) -> tuple[Swatch, ...]:
        """Give a batch's colours."""
        return naming.swatches_of_kind(self.cat, self.led.batches[code].kind)

    def length(self, nm: int) -> str:
        """Say a length."""
        return naming.length(self.led, nm) if nm else "nothing"

    def pull(
        self, code: str, left: int, ends: int, bundles: Iterable[BundleTrace],
        batches: Iterable[TracedBatch],
    ) -> Iterable[str]:  # fmt: skip
        """Say what is still here."""
        if left:
            yield f"{self.length(left)} on spool {code} (bows spool aside {code})"
        if ends:
            yield f"{self.length(ends)} in ends kept"
        for one in bundles:
            if one.waiting:
                parts = plural(one.waiting, f"{one.role} part")
                yield f"{parts} of bundle {one.bundle}"
        yield from self.pull_batches(batches)

    def pull_batches(self, batches: Iterable[TracedBatch]) -> Iterable[str]:
        """Say which bows are still here, those that only could be in one line."""
        could = []
        for one in batches:
            if one.here_likely and one.sure != "possible":
                yield f"batch {one.code}, {one.kind}: {one.here} ({one.places})"
            elif one.here_most:
                could.append(one.code)
        if could:
            yield f"not likely, but possible: some of {', '.join(could)}"

    def people(self, batches: Iterable[BatchTrace]) -> tuple[str, ...]:
        """Say whom the bows reached, the surest word on each, the surest first."""
        surest: dict[str, int] = {}
        for batch in batches:
            for went in batch.went:
                if went.person:
                    rank = max(_RANK.index(went.sure), _RANK.index(batch.sure))
                    surest[went.person] = min(surest.get(went.person, 2), rank)
        order = sorted(surest.items(), key=lambda item: item[1])
        return tuple(f"{self.who(key)} ({_RANK[rank]})" for key, rank in order)

    def who(self, person: str) -> str:
        """Name a person, set apart for names that run from right to left."""
        return f"{ISOLATE}{self.names.get(person, person)}{POP}" if person else ""

    def bundle(self, one: BundleTrace) -> TracedBundle:
        """Show a bundle."""
        return TracedBundle(
            code=one.bundle, role=one.role, count=one.count,
            length=self.length(one.length), cut_on=one.day, cut=_day(one.day),
            waiting=one.waiting, batches=one.batches,
        )  # fmt: skip

    def batch(self, one: BatchTrace) -> TracedBatch:
        """Show a batch."""
        least, likely, most = one.here
        here = str(most) if least == most else f"{least} to {most}, likely {likely}"
        return TracedBatch(
            code=one.batch, kind=naming.typed(self.cat, one.kind), count=one.count,
            made_on=one.day, made=_day(one.day), sure=one.sure, labelled=one.labelled,
            here_least=least, here_likely=likely, here_most=most, here=here,
            places=", ".join(self.place(p) for p in one.places),
            went=tuple(self.went(w) for w in one.went),
        )  # fmt: skip

    def place(self, place: str) -> str:
        """Name a place: home, a boutique, a fair's stall."""
        if place.startswith("stall:"):
            return f"the stall at {self.fair(place.removeprefix('stall:'))}"
        page = self.led.page("boutiques", place)
        return page[0].event.name if page else place

    def fair(self, code: str) -> str:
        """Name a fair."""
        known = fairs(self.led).get(code)
        return f"{ISOLATE}{known.name}{POP}" if known else code

    def went(self, one: Went) -> TracedWent:
        """Show where bows went."""
        told = self.event_of(one.seq)
        where = one.where.replace(one.fair, self.fair(one.fair)) if one.fair else (
            one.where.replace(":", ": ")
        )  # fmt: skip
        return TracedWent(
            count=one.count, where=where, who=self.who(one.person),
            day_on=told.happened[:10], day=_day(told.happened[:10]), entry=told.entry,
            sure=one.sure,
        )  # fmt: skip

    def source(self, one: Source) -> TracedSource:
        """Show what a batch was made of."""
        base = self.led.spools.get(one.what)
        cut = f"{one.bundle}, cut {_day(one.cut)}" if one.cut else one.bundle
        return TracedSource(
            batch=one.batch, what=one.what, role=one.role, lot=one.lot,
            ribbon=self.cat.ribbon_name(base.ribbon) if base else "",
            supplier=one.supplier, received_on=one.received,
            received=_day(one.received), bundle=cut, sure=one.sure,
        )  # fmt: skip
