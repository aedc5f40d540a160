"""The command of cut lengths: what trimmings say, accepted as a pattern revision."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.commands import say
from planner.commands.options import AsOf, DryRun, Json, KnownOn
from planner.commands.session import Session, current
from planner.errors import Unreadable
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.rules.finding import find_pattern
from planner.values.units import parse_length

if TYPE_CHECKING:
    from planner.plans.trimming import CutLength
    from planner.rules.base import Proposal
    from planner.views.trimming import CutLengths, SizeGuess

PageFile = Annotated[
    str | None, typer.Option("--page", help="Write it as an HTML page too.")
]


def trim(
    words: Annotated[
        list[str] | None, typer.Argument(help="A pattern, such as classic 4in.")
    ] = None,
    role: Annotated[str, typer.Option("--role", help="The part to accept.")] = "body",
    sure: Annotated[
        float, typer.Option("--sure", help="How sure to be, per cent.")
    ] = 95.0,
    short: Annotated[
        float, typer.Option("--short", help="Per cent of bows that may be short.")
    ] = 5.0,
    accept: Annotated[
        bool, typer.Option("--accept", help="Take it as the pattern's next revision.")
    ] = False,
    new: Annotated[
        str | None, typer.Option("--new", help="Guess for a new size instead: 4.5in.")
    ] = None,
    width: Annotated[
        str, typer.Option("--width", help="With --new: the ribbon's width.")
    ] = "1.5in",
    as_of: AsOf = None,
    known_on: KnownOn = None,
    dry_run: DryRun = False,
    json: Json = False,
    page: PageFile = None,
) -> None:
    """
    Say how long to cut, from trimmings measured and bows that came out too short.

    Example: bows trim classic 4in
    """
    s = current()
    levels = {"coverage": 1 - _share(short), "confidence": _share(sure)}
    if new is not None:
        _guess(s, parse_length(new), parse_length(width), json=json, page=page)
    elif accept:
        _accept(s, words or [], role, levels, dry_run=dry_run, json=json)
    else:
        _show(s, words or [], levels, as_of, known_on, json=json, page=page)


def _share(per_cent: float) -> float:
    if not 0.1 <= per_cent <= 99.9:
        raise Unreadable(
            "That is no share between 0.1 and 99.9 per cent.",
            instead="--sure 95 --short 5",
        )
    return per_cent / 100


def _now(s: Session) -> int:
    return round(s.clock().timestamp() * 1_000_000)


def _accept(
    s: Session, words: list[str], role: str, levels: dict[str, float], *,
    dry_run: bool, json: bool,
) -> None:  # fmt: skip
    from planner.rules.trimming import cut_to

    if not words:
        raise Unreadable("Of which pattern?", instead="bows trim classic 4in --accept")

    def rule(led: Ledgers) -> Proposal:
        pattern = find_pattern(led, words)
        cut = _recommended(led, pattern, role, levels, _now(s))
        return cut_to(
            led, pattern=pattern, role=role, length=cut.length, when=s.now.when
        )

    s.write(rule, dry_run=dry_run, json=json)


def _recommended(
    led: Ledgers, pattern: str, role: str, levels: dict[str, float], now: int
) -> CutLength:
    from planner.engines.cut_length import LEAST, needs, recommend

    for found in needs(led):
        if (found.pattern, found.role) == (pattern, role):
            options: dict[str, Any] = dict(levels)
            cut = recommend(led, found, now=now, **options)
            if cut is not None:
                return cut
    name = catalogue(led).patterns[pattern].name
    raise Unreadable(
        f"Too few {role} trimmings of {name} were measured: it takes {LEAST} bows.",
        instead="bows trimmings S7 1/2in 3/4in --batch B12",
    )


def _show(
    s: Session, words: list[str], levels: dict[str, float], as_of: str | None,
    known_on: str | None, *, json: bool, page: str | None,
) -> None:  # fmt: skip
    from planner.commands.asking import asked, day_words, made_words
    from planner.commands.questions import finish
    from planner.views.trimming_builder import build

    led = asked(s, as_of, known_on)
    options: dict[str, Any] = dict(levels)
    view = build(
        led, today=s.today, made=made_words(s), now=_now(s), **options,
        pattern=find_pattern(led, words) if words else "",
        as_of=day_words(s, as_of), known_on=day_words(s, known_on) or None,
    )  # fmt: skip
    if finish(s, view, json=json, page=page):
        _say(view)


def _say(view: CutLengths) -> None:
    say.out(view.short)
    say.table(
        ("pattern", "part", "bows", "short", "cut now", "better", "by counting",
         "saved a year", ""),
        [(x.pattern, x.role, str(x.bows), str(x.short), x.now, x.length, x.counted,
          x.saved, x.saved_money) for x in view.lines],
        right=(2, 3, 4, 5, 6, 7, 8),
    )  # fmt: skip
    say.out(f"better: {view.promise}")
    for line in view.lines:
        say.talk(f"  {line.pattern} {line.role}: {line.why}")
        if line.accept:
            say.talk(f"    to take it: {line.accept}")


def _guess(s: Session, size: int, width: int, *, json: bool, page: str | None) -> None:
    from planner.commands.asking import made_words
    from planner.commands.questions import finish
    from planner.views.trimming_builder import build_guess

    view = build_guess(
        s.ledgers(), size=size, width=width, today=s.today, made=made_words(s)
    )
    if finish(s, view, json=json, page=page):
        _say_guess(view)


def _say_guess(view: SizeGuess) -> None:
    say.out(f"For {view.what}, cut the body {view.range} long.")
    say.table(
        ("what takes ribbon", "how much"), [(x.what, x.range) for x in view.lines]
    )
    say.out(view.note)
