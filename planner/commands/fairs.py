"""Commands of fairs: new, change, off, pack, open, close, settle."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from planner.commands import items as read
from planner.commands.options import DryRun, Json, On
from planner.commands.session import Session, current
from planner.errors import Unknown, Unreadable
from planner.ledgers.fairs import CALLED_OFF, SETTLED, Fair, coming_fairs, fairs
from planner.ledgers.state import Ledgers
from planner.rules import fairs as rules
from planner.rules import stalls
from planner.rules.base import Proposal
from planner.rules.fair_days import far_off, read_days
from planner.rules.finding import find_fair, find_pattern, find_place, find_unit
from planner.values.quantities import parse_count
from planner.values.text import clean
from planner.values.units import parse_length

Which = Annotated[
    str | None, typer.Option("--fair", help="The fair by name; else the one at hand.")
]
Fee = Annotated[str | None, typer.Option("--fee", help="What the table costs.")]
Crowd = Annotated[
    str | None, typer.Option("--crowd", help="quiet, thin, usual, busy or packed.")
]
Table = Annotated[str | None, typer.Option("--table", help='Table length: "6ft".')]
Guess = Annotated[
    list[str] | None,
    typer.Option("--guess", help='Bows you think would sell: "20 4in", "30" in all.'),
]
Day = Annotated[str | None, typer.Option("--day", help='Which day of the fair: "sat".')]
Hour = Annotated[str | None, typer.Option("--hour", help="From what hour on.")]
FairWords = Annotated[
    list[str] | None,
    typer.Argument(help='Such as "12 4in navy, 6 4in red"; F3 first names the fair.'),
]
Code = Annotated[str | None, typer.Argument(help="The fair, such as F3.")]


def at_hand(s: Session, led: Ledgers, told: str | None) -> Fair:
    """
    Find the fair she means: as told, else the one on or just over, else the next.

    Raises:
        Unknown: when there is none.
    """
    today = s.today.isoformat()
    if told:
        return find_fair(led, told, today)
    begun = [
        f for f in fairs(led).values()
        if f.first_day <= today and f.packed and f.state not in (SETTLED, CALLED_OFF)
    ]  # fmt: skip
    if begun:
        return max(begun, key=lambda f: f.first_day)
    if fairs(led) and not coming_fairs(led, today):
        return _not_settled(led)
    return find_fair(led, None, today)


def _not_settled(led: Ledgers) -> Fair:
    """Give the last fair if it is still to be settled, though nothing was packed."""
    left = [f for f in fairs(led).values() if f.state not in (SETTLED, CALLED_OFF)]
    if not left:
        raise Unknown(
            "No fair is on or ahead.", instead="name the one you mean: --fair F3"
        )
    return max(left, key=lambda f: f.first_day)


def split_words(
    words: Sequence[str] | None, which: str | None
) -> tuple[str | None, list[str]]:
    """Split words into the fair named first, if one is, and the rest."""
    code, rest = read.split_code(words, "F")
    return code or which, rest


class _Guess:
    """What she thinks would sell: by kind or pattern, or in all."""

    def __init__(self, told: Sequence[str] | None) -> None:
        joined = [piece.strip() for text in told or () for piece in text.split(",")]
        alone = [piece for piece in joined if " " not in piece]
        self.total = parse_count(alone[-1], what="bows") if alone else None
        self.items = read.split_items([", ".join(p for p in joined if " " in p)])

    def by_kind(self, led: Ledgers) -> dict[str, int] | None:
        """Find the patterns and kinds guessed at."""
        if not self.items:
            return None
        return {_pattern_or_kind(led, i.words): i.number for i in self.items}


def _pattern_or_kind(led: Ledgers, words: str) -> str:
    try:
        return find_pattern(led, words)
    except Unknown:
        return find_unit(led, words)[0]


def new(
    name: Annotated[str, typer.Argument(help='Its name: "Spring market".')],
    days: Annotated[list[str], typer.Argument(help='"sat 28 nov 10-16, sun 11-15".')],
    fee: Fee = None,
    crowd: Crowd = None,
    indoor: Annotated[bool, typer.Option("--indoor/--outdoor", help="Where.")] = True,
    table: Table = None,
    guess: Guess = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a fair you mean to go to, with its days and hours.

    Example: bows fair new "Spring market" 12 dec 10:00-16:00 --fee 45 --crowd busy
    """
    s, told, thought = current(), clean(name, what="fair's name"), _Guess(guess)
    typed = " ".join(days)
    on = read_days(typed, today=s.today)
    length = parse_length(table, default="in") if table else 0

    def rule(led: Ledgers) -> Proposal:
        return rules.announced(
            led, name=told, days=on, when=s.now.when, indoor=indoor, table=length,
            fee=read.money(led, fee, zero=True) or 0,
            crowd=rules.read_crowd(crowd) if crowd else 3,
            guess=thought.by_kind(led), guess_total=thought.total,
            odd=far_off(typed, on, today=s.today),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def change(
    fair: Code = None,
    name: Annotated[str | None, typer.Option("--name", help="Another name.")] = None,
    days: Annotated[
        str | None, typer.Option("--days", help='"sat 28 nov 10-16, sun 11-15".')
    ] = None,
    fee: Fee = None,
    crowd: Crowd = None,
    indoor: Annotated[
        bool | None, typer.Option("--indoor/--outdoor", help="Where.")
    ] = None,
    table: Table = None,
    guess: Guess = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter what has changed about a fair.

    Example: bows fair change F9 --crowd packed --fee 50
    """
    s, thought = current(), _Guess(guess)
    new_days = read_days(days, today=s.today) if days else None

    def rule(led: Ledgers) -> Proposal:
        return rules.changed(
            led, fair=at_hand(s, led, fair).code, when=s.now.when,
            name=clean(name, what="fair's name") if name else None,
            days=new_days, odd=far_off(days or "", new_days or (), today=s.today),
            fee=read.money(led, fee, zero=True), indoor=indoor,
            crowd=rules.read_crowd(crowd) if crowd else None,
            table=parse_length(table, default="in") if table else None,
            guess=thought.by_kind(led), guess_total=thought.total,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def off(
    fair: Code = None,
    hour: Hour = None,
    why: Annotated[str, typer.Option("--why", help="Why.")] = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter that a fair is off, or broke up at an hour.

    Example: bows fair off F9 --hour 13:30 --why storm
    """
    s, words = current(), read.words_of(why, what="reason")

    def rule(led: Ledgers) -> Proposal:
        return rules.called_off(
            led, fair=at_hand(s, led, fair).code, when=s.when(on),
            at=read.clock(hour), why=words,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


Source = Annotated[str | None, typer.Option("--from", help="Where they were.")]


def pack(
    words: FairWords = None,
    which: Which = None,
    source: Source = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter the boxes packed for a fair: the bows you name, else the plan.

    Example: bows fair pack 12 4in navy, 6 4in red
    """
    s, (told, rest) = current(), split_words(words, which)
    items = read.split_items(rest)

    def rule(led: Ledgers) -> Proposal:
        return rules.packed(
            led, fair=at_hand(s, led, told).code, when=s.when(on),
            bows=read.bows(led, items) if items else None,
            source=find_place(led, source, s.today.isoformat()),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def top_up(
    words: FairWords = None,
    which: Which = None,
    source: Source = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter more bows brought to a stall already packed: those you name, else the plan.

    Example: bows fair top-up 4 4in navy
    """
    s, (told, rest) = current(), split_words(words, which)
    items = read.split_items(rest)

    def rule(led: Ledgers) -> Proposal:
        return rules.topped_up(
            led, fair=at_hand(s, led, told).code, when=s.when(on),
            bows=read.bows(led, items) if items else None,
            source=find_place(led, source, s.today.isoformat()),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def open_day(
    fair: Code = None,
    float_: Annotated[
        str | None, typer.Option("--float", help="The change in the till.")
    ] = None,
    day: Day = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter that a day of a fair has begun.

    Example: bows fair open --float 40
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        there = at_hand(s, led, fair)
        return stalls.day_opened(
            led, fair=there.code, when=read.when_at(s, there, on),
            float_=read.money(led, float_, zero=True) or 0,
            day=read.day_of(s, there, day),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def close_day(
    words: Annotated[list[str], typer.Argument(help="Cash taken over the float.")],
    card: Annotated[str | None, typer.Option("--card", help="Taken by card.")] = None,
    day: Day = None,
    which: Which = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter that a day of a fair is over, with the takings counted.

    Example: bows fair close 212.50 --card 84
    """
    s, (told, rest) = current(), split_words(words, which)

    def rule(led: Ledgers) -> Proposal:
        fair = at_hand(s, led, told)
        return stalls.day_closed(
            led, fair=fair.code, when=read.when_at(s, fair, on),
            cash=read.must(led, " ".join(rest), zero=True),
            card=read.money(led, card, zero=True), day=read.day_of(s, fair, day),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def sold_out(
    words: Annotated[list[str], typer.Argument(help="The kind: size and colour.")],
    hour: Hour = None,
    day: Day = None,
    which: Which = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter that a kind was sold out at the fair.

    Example: bows fair sold-out 4in navy --hour 14:00
    """
    s, (told, rest) = current(), split_words(words, which)

    def rule(led: Ledgers) -> Proposal:
        fair = at_hand(s, led, told)
        return stalls.sold_out(
            led, fair=fair.code, kind=read.kind(led, " ".join(rest), near=fair.packed),
            when=read.when_at(s, fair, on), day=read.day_of(s, fair, day),
            at=read.clock(hour),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def cost(
    words: Annotated[list[str], typer.Argument(help='Such as "parking 8.00".')],
    which: Which = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a cost of a fair: the fee, parking, a table.

    Example: bows fair cost parking 8.00
    """
    s, (told, rest) = current(), split_words(words, which)
    if len(rest) < 2:
        raise Unreadable(
            "A cost needs its name and amount.", instead="bows fair cost parking 8.00"
        )
    what = clean(" ".join(rest[:-1]), what="cost's name")

    def rule(led: Ledgers) -> Proposal:
        return stalls.cost_paid(
            led, fair=at_hand(s, led, told).code, what=what,
            money=read.must(led, rest[-1]), when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def crowd(
    words: Annotated[list[str], typer.Argument(help="quiet ... packed, or 1 to 5.")],
    which: Which = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter how large the crowd at a fair turned out.

    Example: bows fair crowd busy
    """
    s, (told, rest) = current(), split_words(words, which)
    size = rules.read_crowd(" ".join(rest))

    def rule(led: Ledgers) -> Proposal:
        fair = at_hand(s, led, told)
        return stalls.crowd_told(led, fair=fair.code, crowd=size, when=s.when(on))

    s.write(rule, dry_run=dry_run, json=json)
