"""Build the spool story's view from the audit engine's account."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import NamedTuple

from planner.engines.audit import story as tell
from planner.ledgers import ribbon as r
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import fairs
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import UNEXPLAINED
from planner.plans.story import Gone, Piece, Step, Story
from planner.rules.base import plural
from planner.values.daywords import spoken, spoken_moment
from planner.views import naming
from planner.views.common import Oddity
from planner.views.foot import foot
from planner.views.story import (
    Account,
    AccountLine,
    How,
    SpoolStory,
    StoryEvent,
    StripPiece,
)

ISOLATE, POP = "\u2068", "\u2069"


class Told(NamedTuple):
    """What the log says of an event: entry, when it happened, kind, when typed."""

    entry: int
    happened: str
    kind: str
    recorded: str


class Struck(NamedTuple):
    """An event of an entry taken back: it is told and no longer counts."""

    entry: int
    happened: str
    kind: str
    by: int


EventOf = Callable[[int], Told]
Names = Mapping[str, str]

_ORDER: tuple[tuple[str, Account], ...] = (
    (r.LEFT, "left"),
    (r.ENDS, "ends"),
    (r.BUNDLE, "bundles"),
    (r.BOWS, "bows"),
    (r.TRIMMED, "trimmed"),
    (r.SCRAPPED, "scrapped"),
    (r.SENT, "sent out"),
    (UNEXPLAINED, "not yet explained"),
)


def account_of(name: str) -> Account:
    """Give the view's account for a ledger's account name."""
    for prefix, account in _ORDER:
        if name == prefix or (prefix.endswith(":") and name.startswith(prefix)):
            return account
    return "opening"


def build(
    led: Ledgers, spool: str, *, today: date, made: str, event_of: EventOf,
    struck: Iterable[Struck] = (), names: Names | None = None, as_of: str = "",
    known_on: str | None = None,
) -> SpoolStory:  # fmt: skip
    """Give the whole account of one spool, ready to show."""
    told, cat, base = tell(led, spool), catalogue(led), led.spools[spool]
    opening = told.opening
    left = told.accounts.get(r.LEFT, 0)
    off = told.accounts.get(UNEXPLAINED, 0)
    return SpoolStory(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=as_of or today.isoformat(), known_on=known_on, made=made),
        code=spool, why=f"bows why {spool}", ribbon=cat.ribbon_name(base.ribbon),
        swatch=naming.swatch_of_ribbon(cat, base.ribbon), supplier=base.supplier,
        lot=base.lot, received_on=base.happened[:10],
        received=spoken(date.fromisoformat(base.happened[:10])),
        label_nm=base.label, label=naming.length(led, base.label), opening_nm=opening,
        opening=_opening_words(led, told, base.part_used), left_nm=left,
        left=_length(led, left), unexplained_nm=off, unexplained=_length(led, off),
        short=_short(led, told), used_up=told.used_up, unit=_unit(led)[0],
        unit_nm=_unit(led)[1], runs=_runs(led, told),
        accounts=tuple(_accounts(led, told)),
        strip=tuple(_strip(led, cat, told, event_of, names or {})),
        events=tuple(_events(led, told, event_of, struck)),
        label_check=_label_check(led, told), odd=tuple(_odd(led, told)),
    )  # fmt: skip


def _length(led: Ledgers, nm: int) -> str:
    return naming.length(led, nm) if nm else "nothing"


def _unit(led: Ledgers) -> tuple[str, int]:
    metric = led.page("shop", "")[0].event.units == "metric"
    return ("m", 1_000_000_000) if metric else ("yd", 914_400_000)


def _opening_words(led: Ledgers, told: Story, part_used: bool) -> str:
    words = naming.length(led, told.opening) if told.opening else "nothing"
    if told.label.read is not None:
        return f"{words}, as read before the first cut"
    return f"{words}, as you judged it" if part_used else f"{words}, as labelled"


def _share(nm: int, opening: int) -> float:
    return nm / opening if opening else 0.0


def _accounts(led: Ledgers, told: Story) -> Iterable[AccountLine]:
    yield _line(led, "opening", "opening", told.opening, told.opening, "")
    for prefix, account in _ORDER:
        found = {k: v for k, v in told.accounts.items() if account_of(k) == account}
        if account == "bundles":
            found = {r.BUNDLE: sum(found.values())} if found else {}
        if not found and account in ("left", "bundles", "bows", "not yet explained"):
            found = {prefix: 0}
        for name, nm in sorted(found.items()):
            yield _line(led, account, name, nm, told.opening, _note(told, account))


def _note(told: Story, account: Account) -> str:
    if account == "not yet explained" and told.missing:
        return "an entry is missing: more was taken than the records had"
    if account == "bundles":
        return "cut and waiting for the bench"
    return ""


_LABELS: Mapping[str, str] = {
    r.LEFT: "left on the spool",
    r.ENDS: "ends kept",
    r.BUNDLE: "in bundles",
    r.BOWS: "in bows, as cut",
    r.TRIMMED: "trimmed off",
}


def _line(
    led: Ledgers, account: Account, name: str, nm: int, opening: int, note: str
) -> AccountLine:
    label = _LABELS.get(name, name)
    if ":" in label:
        head, _, tail = label.partition(":")
        label = f"{'sent out' if head == 'sent' else head}: {tail}"
    share = _share(nm, opening)
    return AccountLine(
        account=account, label=label, length_nm=nm, length=_length(led, nm),
        share=share, share_shown=f"{share * 100:.1f} %".replace("-", "−"), note=note,
    )  # fmt: skip


def _strip(
    led: Ledgers, cat: Catalogue, told: Story, event_of: EventOf, names: Names
) -> Iterable[StripPiece]:
    joins = {seq for seq, _ in told.joins}
    seen: set[int] = set()
    for at, piece in enumerate(told.pieces):
        entry = event_of(piece.seq) if piece.seq else None
        after = told.pieces[at + 1].seq if at + 1 < len(told.pieces) else 1 << 60
        passed = {seq for seq in joins if piece.seq < seq < (after or 1 << 60)} - seen
        seen |= passed
        day = entry.happened[:10] if entry else ""
        inferred = any(not gone.known for gone in piece.gone)
        yield StripPiece(
            account=account_of(piece.account), label=_piece_label(cat, piece),
            length_nm=piece.length, length=naming.length(led, piece.length),
            how="inferred" if inferred else "known",
            entry=entry.entry if entry else None, day_on=day,
            day=spoken(date.fromisoformat(day)) if day else "",
            went_to=_went_to(led, told.spool, piece, names), join_after=bool(passed),
        )  # fmt: skip


def _piece_label(cat: Catalogue, piece: Piece) -> str:
    match account_of(piece.account):
        case "left":
            return "still on the spool"
        case "bows" | "bundles":
            what = naming.typed(cat, piece.kind) if piece.kind else "no kind yet"
            return f"{piece.parts} × {piece.role} for {what}"
        case "scrapped":
            return f"scrapped: {piece.why}"
        case "sent out":
            return f"sent out: {piece.why}"
        case "not yet explained":
            return "not yet explained"
        case account:
            return f"{account} {piece.why}".strip()


def _went_to(led: Ledgers, spool: str, piece: Piece, names: Names) -> str:
    if not piece.bundle:
        return _wound_onto(led, spool, piece.seq)
    words = [f"bundle {piece.bundle}"]
    if piece.batch:
        words.append(f"batch {piece.batch}{_more_than_these(led, piece)}")
    if piece.gone:
        words.append(_all_gone(led, piece.gone, names))
    return " → ".join(words)


def _wound_onto(led: Ledgers, spool: str, seq: int) -> str:
    onto = (s.code for s in led.spools.values() if s.parent == spool and s.seq == seq)
    return next((f"spool {code}" for code in onto), "")


def _more_than_these(led: Ledgers, piece: Piece) -> str:
    """Say so when a batch has more bows than these parts could become."""
    batch = led.batches[piece.batch]
    parts = [count for role, _, count, _, _ in led.parts_of(batch.code)
             if role == piece.role]  # fmt: skip
    if sum(parts) <= piece.parts:
        return ""
    return f" (of all its {plural(batch.count, 'bow')}, not from these parts alone)"


def _all_gone(led: Ledgers, gone: tuple[Gone, ...], names: Names) -> str:
    """Say where a batch's bows went, like with like, the inferred ones marked."""
    counts: dict[tuple[str, bool], int] = {}
    for one in gone:
        key = _where(led, one, names), one.known
        counts[key] = counts.get(key, 0) + one.count
    mixed = len({known for _, known in counts}) > 1
    return ", ".join(
        f"{count} {where}" + (" (inferred)" if mixed and not known else "")
        for (where, known), count in counts.items()
    )


def _where(led: Ledgers, gone: Gone, names: Names) -> str:
    where = gone.where
    if gone.fair:
        fair = fairs(led).get(gone.fair)
        name = f"{ISOLATE}{fair.name}{POP}" if fair else gone.fair
        where = where.replace(gone.fair, name)
    if gone.order and gone.person:
        person = names.get(gone.person, gone.person)
        where += f" for {ISOLATE}{person}{POP}"
    return where.replace(":", ": ")


def _events(
    led: Ledgers, told: Story, event_of: EventOf, struck: Iterable[Struck]
) -> Iterable[StoryEvent]:
    late = {seq for _, seq in led.late}
    lines = [(s.when, s.seq, _event(led, s, event_of(s.seq), late)) for s in told.steps]
    rows = [line for _, _, line in lines]
    rows += [_struck(led, row) for row in struck]
    return sorted(rows, key=lambda e: (e.happened_on[:10], e.entry))


def _event(led: Ledgers, step: Step, told: Told, late: set[int]) -> StoryEvent:
    is_late = step.seq in late
    return StoryEvent(
        entry=told.entry, happened_on=told.happened,
        happened=spoken_moment(told.happened),
        what=_what(led, step, told.kind), change_nm=step.change,
        change=_signed(led, step.change), left_nm=step.left,
        left=_length(led, step.left),
        recorded=spoken_moment(told.recorded) if is_late else "",
        late=is_late,
    )  # fmt: skip


def _struck(led: Ledgers, row: Struck) -> StoryEvent:
    return StoryEvent(
        entry=row.entry, happened_on=row.happened, happened=spoken_moment(row.happened),
        what=f"{row.kind.replace('-', ' ')}, taken back", change_nm=0, change="",
        left_nm=0, left="", corrected_by=row.by,
    )  # fmt: skip


def _signed(led: Ledgers, nm: int) -> str:
    if not nm:
        return ""
    return f"+{naming.length(led, nm)}" if nm > 0 else naming.length(led, nm)


def _what(led: Ledgers, step: Step, kind: str) -> str:
    if step.reading is not None:
        read = _length(led, step.reading)
        if step.target.startswith(r.BUNDLE):
            return f"bundle {step.target.removeprefix(r.BUNDLE)} counted"
        return f"read: {read}" + ("" if step.change else ", as the book said")
    if kind in ("spool-received", "spool-found-part-used"):
        return "came in" if kind == "spool-received" else "had already, part-used"
    target = step.target
    if step.source == r.LEFT and target.startswith(r.BUNDLE):
        return f"cut as bundle {target.removeprefix(r.BUNDLE)}"
    if target == r.BOWS:
        return f"made into bows, from {step.source.replace(':', ' ')}"
    return f"{step.source.replace(':', ' ')} → {target.replace(':', ': ')}"


def _runs(led: Ledgers, told: Story) -> str:
    known = [naming.length(led, left) for _, left in told.joins if left]
    if not told.joins:
        return ""
    words = f"{len(told.joins) + 1} runs"
    return f"{words}; behind a join: {', '.join(known)}" if known else words


def _short(led: Ledgers, told: Story) -> str:
    off = told.accounts.get(UNEXPLAINED, 0)
    left = told.accounts.get(r.LEFT, 0)
    if told.too_high:
        return f"{_not_cut(led, told, left)}{_and_off(led, told, off)}"
    if not off:
        where = f"; {naming.length(led, left)} is still on it" if left else ""
        return f"Every inch is accounted for{where}."
    share = abs(off) / told.opening * 100 if told.opening else 0
    if off > 0:
        return f"{naming.length(led, off)} of it ({share:.1f} %) is not yet explained."
    return (
        f"{naming.length(led, -off)} more ({share:.1f} %) went out of it than it held "
        "by the records."
    )


def _not_cut(led: Ledgers, told: Story, left: int) -> str:
    """Say that what is left is likely too high, and why."""
    bows = sum(count for _, count, _, _ in told.too_high)
    length = min(sum(nm for _, _, nm, _ in told.too_high), left)
    alone = all(spools == (told.spool,) for _, _, _, spools in told.too_high)
    source = "likely from this spool" if alone else "from this spool or another"
    return (
        f"{plural(bows, 'bow')} of this ribbon {'was' if bows == 1 else 'were'} made "
        f"without a cut on record, {source}: the {naming.length(led, left)} left by "
        f"the book {'is likely' if alone else 'may be'} too high, by up to "
        f"{naming.length(led, length)}."
    )


def _and_off(led: Ledgers, told: Story, off: int) -> str:
    if not off:
        return ""
    share = abs(off) / told.opening * 100 if told.opening else 0
    what = "is not yet explained" if off > 0 else "more went out of it than it held"
    return f" Apart from that, {naming.length(led, abs(off))} ({share:.1f} %) {what}."


def _label_check(led: Ledgers, told: Story) -> str:
    check = told.label
    if check.read is None:
        return (
            "It was not read before its first cut, so nothing can be said for sure of "
            "its label."
        )
    off = check.label - check.read
    if off <= 0:
        return f"Read before its first cut: no shorter than its label ({check.rule})."
    within = "more than" if check.short else "within"
    return (
        f"Read before its first cut: {naming.length(led, off)} short of its label, "
        f"{within} the {naming.length(led, check.tolerance)} that is allowed to a "
        f"single spool ({check.rule})."
    )


def _odd(led: Ledgers, told: Story) -> Iterable[Oddity]:
    for account in told.missing:
        what = account.replace(r.BUNDLE, "bundle ")
        yield Oddity(
            about=told.spool,
            what=f"More was taken than the records had ({what}): an entry is missing.",
            instead=f"bows why {told.spool}",
        )
    off = told.accounts.get(UNEXPLAINED, 0)
    high = {batch for batch, _, _, _ in told.too_high}
    for batch, nm in told.uncut:
        if off <= 0 and batch not in high:
            continue
        yield Oddity(
            about=told.spool,
            what=f"Batch {batch} of this ribbon has no cut on record; it takes about "
            f"{naming.length(led, nm)}.",
            instead=f"bows cut-late {batch} --from {told.spool}",
        )


__all__ = ["EventOf", "How", "Struck", "Told", "account_of", "build"]
