"""Build the views of cut lengths."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from planner.engines.cut_length import (
    CONFIDENCE,
    COVERAGE,
    LEAST,
    cut_now,
    guess,
    needs,
    recommend,
)
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.plans.trimming import CutLength, Needs
from planner.values.units import format_length
from planner.views import naming
from planner.views.foot import foot
from planner.views.trimming import CutLengthLine, CutLengths, GuessLine, SizeGuess

GUESS = (
    "A guess from the geometry of the loops alone, not from measuring: cut one bow at "
    "the upper end, tie it, measure what is left over (bows trimmings), and go on."
)


def build(
    led: Ledgers, *, today: date, made: str, now: int, coverage: float,
    confidence: float, pattern: str = "", as_of: str = "", known_on: str | None = None,
) -> CutLengths:  # fmt: skip
    """
    Recommend cut lengths for every part measured, or those of one pattern.

    `now` is microseconds since 1970; a year is counted back from it.
    """
    found = [n for n in needs(led) if pattern in ("", n.pattern)]
    told = [
        (n, recommend(led, n, now=now, coverage=coverage, confidence=confidence))
        for n in found
    ]
    return CutLengths(
        shop=naming.shop_view(led), short=_short(led, told),
        foot=foot(led, as_of=as_of or today.isoformat(), known_on=known_on, made=made),
        promise=f"{_percent(confidence)} sure that no more than "
        f"{_percent(1 - coverage)} of the bows come out too short",
        lines=tuple(_line(led, n, cut) for n, cut in told),
    )  # fmt: skip


def _percent(share: float) -> str:
    return f"{share * 100:.4g} %"


def _short(led: Ledgers, told: list[tuple[Needs, CutLength | None]]) -> str:
    cuts = [cut for _, cut in told if cut is not None]
    if not cuts:
        return (
            f"Too few trimmings were measured yet: it takes {LEAST} bows of a pattern "
            "(bows trimmings)."
        )
    saving = [cut for cut in cuts if cut.saved > 0]
    more = [cut for cut in cuts if cut.saved < 0]
    saved = naming.length(led, sum(c.saved for c in saving)) if saving else ""
    money = naming.money(led, sum(c.saved_money for c in saving))
    words = []
    if saving:
        parts = "part" if len(saving) == 1 else "parts"
        words.append(
            f"shorter cuts of {len(saving)} {parts} would save {saved} ({money}) a year"
        )
    if more:
        words.append(f"{len(more)} should be cut longer, or too many come out short")
    said = "; ".join(words) or "every length that can be judged is right as it is"
    return f"{said[0].upper()}{said[1:]}."


def _line(led: Ledgers, found: Needs, cut: CutLength | None) -> CutLengthLine:
    pattern = catalogue(led).patterns[found.pattern]
    now = cut_now(pattern, found.role)
    bows = len(found.measured) + len(found.short)
    counted = cut.counted if cut else None
    return CutLengthLine(
        pattern=pattern.name, role=found.role, bows=bows, short=len(found.short),
        now_nm=now, now=naming.length(led, now),
        length_nm=cut.length if cut else None,
        length=naming.length(led, cut.length) if cut else "too little measured",
        counted="can't tell" if counted is None else naming.length(led, counted),
        saved_nm=cut.saved if cut else 0,
        saved=naming.length(led, cut.saved) if cut and cut.saved else "nothing",
        saved_money=naming.money(led, cut.saved_money) if cut else "",
        why=_why(led, cut) if cut else f"it takes {LEAST} bows measured one by one",
        accept=_accept(pattern.name, cut) if cut and cut.length != now else "",
    )  # fmt: skip


def _accept(name: str, cut: CutLength) -> str:
    """Say what to type to take it, her own levels with it."""
    words = f'bows trim "{name}" --role {cut.needs.role}'
    if (cut.coverage, cut.confidence) != (COVERAGE, CONFIDENCE):
        sure, short = cut.confidence * 100, (1 - cut.coverage) * 100
        words += f" --sure {sure:.4g} --short {short:.4g}"
    return f"{words} --accept"


def _why(led: Ledgers, cut: CutLength) -> str:
    def inches(nm: float) -> str:
        return naming.length(led, round(nm / 1_587_500) * 1_587_500)

    words = (
        f"they needed {inches(cut.mean)} on average, spread {inches(cut.sd)}, "
        f"factor {cut.factor:.2f}"
    )
    if cut.needs.short:
        words += f"; without the short ones it would say {inches(cut.ignoring)}"
    if cut.counted is None:
        words += f"; counting alone can't tell below {cut.least} bows"
    return words


def build_guess(
    led: Ledgers, *, size: int, width: int, today: date, made: str
) -> SizeGuess:
    """Show the first range for a new size."""
    made_of = guess(size=size, width=width)
    return SizeGuess(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=today.isoformat(), known_on=None, made=made),
        what=f"a {format_length(size)} double-loop bow of {format_length(width)} "
        "ribbon",
        low_nm=made_of.low, high_nm=made_of.high,
        range=_range(led, made_of.low, made_of.high),
        lines=tuple(_guess_lines(led, made_of.why)), note=GUESS,
    )  # fmt: skip


def _guess_lines(
    led: Ledgers, why: Iterable[tuple[str, int, int]]
) -> Iterable[GuessLine]:
    for what, low, high in why:
        yield GuessLine(
            what=what, low_nm=low, high_nm=high, range=_range(led, low, high)
        )


def _range(led: Ledgers, low: int, high: int) -> str:
    if low == high:
        return naming.length(led, low)
    least = naming.length(led, low) if low else "nothing"
    return f"{least} to {naming.length(led, high)}"
