"""Commands of the shop itself: open, hours, wage, fees, setting."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from typing import Annotated, Literal, TypeVar, cast

import typer

from planner.commands import say
from planner.commands.options import DryRun, Json
from planner.commands.session import current
from planner.errors import Refusal, Unreadable
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules import opening as rules
from planner.rules.base import Proposal
from planner.rules.catalogue import check_size
from planner.values.colours import parse_colour
from planner.values.durations import parse_minutes
from planner.values.money import minor_digits, parse_amount
from planner.values.text import clean, quoted
from planner.values.units import parse_length

T = TypeVar("T")


def open_shop(
    name: Annotated[str | None, typer.Option("--name", help="The shop's name.")] = None,
    zone: Annotated[
        str | None, typer.Option("--zone", help="Such as America/Chicago.")
    ] = None,
    currency: Annotated[
        str | None, typer.Option("--currency", help="Such as USD.")
    ] = None,
    units: Annotated[
        str | None, typer.Option("--units", help="us (inches, yards) or metric.")
    ] = None,
    sizes: Annotated[
        str | None, typer.Option("--sizes", help='Finished sizes, "3in 4in 5in".')
    ] = None,
    colours: Annotated[
        str | None, typer.Option("--colours", help='Ribbon colours, "navy, red".')
    ] = None,
    minutes: Annotated[
        str | None, typer.Option("--minutes", help="What one bow takes you.")
    ] = None,
    price: Annotated[
        str | None, typer.Option("--price", help="What a bow sells for.")
    ] = None,
    json: Json = False,
) -> None:
    """
    Set up a shop by a few questions; without a terminal, by options.

    Example: bows open --name "My bows" --sizes "3in 4in" --colours "navy, red"
    """
    s = current()
    if s.path.exists():
        raise Refusal(
            f"There is a shop at {s.path} already.",
            instead="bows --shop ANOTHER-FOLDER open",
        )
    answers = _answers(name, zone, currency, units, sizes, colours, minutes, price)
    _create(answers, json=json)


def _ask(question: str, told: str | None, default: str, read: Callable[[str], T]) -> T:
    """
    Read what was told, else ask; an answer that can't be read is asked once more.

    Without a terminal the default stands in for the answer.
    """
    if told is not None or not sys.stdin.isatty():
        return read(default if told is None else told)
    while True:
        say.talk(f"{question} [{default}]" if default else question, end=" ")
        try:
            return read(input().strip() or default)
        except Refusal as refusal:
            say.talk(f"{refusal.what}\n  try: {_bare(refusal.instead)}")


def _bare(instead: str) -> str:
    """Say what to answer: without the option that a command line would want."""
    return re.sub(r"^--\w+ ", "", instead)


def local_zone() -> str:
    """Give this computer's time zone by name, or UTC if it doesn't tell."""
    import os
    from pathlib import Path
    from zoneinfo import ZoneInfo

    for told in (os.environ.get("TZ"), _linked_zone(Path("/etc/localtime"))):
        try:
            if told:
                return ZoneInfo(told).key
        except (ValueError, OSError, KeyError):
            continue
    return "UTC"


def _linked_zone(path: object) -> str | None:
    target = str(getattr(path, "resolve", lambda: "")())
    _, found, zone = target.partition("zoneinfo/")
    return zone if found else None


def _answers(
    name: str | None, zone: str | None, currency: str | None, units: str | None,
    sizes: str | None, colours: str | None, minutes: str | None, price: str | None,
) -> rules.Opening:  # fmt: skip
    called = _ask("What is the shop called?", name, "My bows", _shop_name)
    there = _ask("Which time zone?", zone, local_zone(), check_zone)
    coin = _ask("Which currency?", currency, "USD", _currency)
    measures = _ask("Inches and yards (us), or metric?", units, "us", _units)
    made = _ask("Which finished sizes do you make?", sizes, "", _sizes)
    told = _ask("Which ribbon colours have you?", colours if made else "", "", _colours)
    each = _ask("How many minutes does one bow take?", minutes, "10", parse_minutes)
    asked = _ask("What does a bow sell for?", price if made else "", "", _price(coin))
    return rules.Opening(
        called, there, coin, measures, "letter" if measures == "us" else "a4", made,
        told, each, asked,
    )  # fmt: skip


def _shop_name(text: str) -> str:
    return clean(text, what="shop's name", longest=80)


def _currency(text: str) -> str:
    """Read a currency's three letters; raises Unknown for any other."""
    minor_digits(text.upper())
    return text.upper()


def _units(text: str) -> Literal["us", "metric"]:
    if text.lower() not in ("us", "metric"):
        raise Unreadable("Units are us or metric.", instead="--units us")
    return cast(Literal["us", "metric"], text.lower())


def _price(currency: str) -> Callable[[str], int | None]:
    return lambda text: parse_amount(text, currency) if text else None


def check_zone(zone: str) -> str:
    """Give a time zone's name; raises Unreadable where there is none of that name."""
    from zoneinfo import ZoneInfo

    try:
        return ZoneInfo(zone).key
    except Exception:
        raise Unreadable(
            f"There is no time zone {quoted(zone)}.",
            instead=f"--zone {_near_zone(zone)}",
        ) from None


def _near_zone(zone: str) -> str:
    """Give the time zone she may mean: by its words, else by its town."""
    from zoneinfo import available_timezones

    wanted = "_".join(zone.lower().split())
    known = sorted(available_timezones())
    alike = [z for z in known if z.lower() == wanted]
    alike += [z for z in known if wanted and z.lower().endswith(f"/{wanted}")]
    return alike[0] if alike else "America/Chicago"


_SIZE = re.compile(r"\d+(?:[ -]\d+/\d+|[.,]\d+|/\d+)? ?(?:inches|in|\"|cm|mm)(?!\w)")


def _sizes(text: str) -> tuple[int, ...]:
    """Read finished sizes: `3in 4in 4 1/2 in`, or apart by commas."""
    pieces = text.split(",") if "," in text else _SIZE.findall(text) or [text]
    found = [parse_length(p.strip(), default="in") for p in pieces if p.strip()]
    for size in found:
        check_size(size)
    return tuple(dict.fromkeys(found))


def _colours(text: str) -> tuple[tuple[str, str, str], ...]:
    told = (name for name in text.split(",") if name.strip())
    names = [clean(name, what="colour's name", longest=60) for name in told]
    family = rules.families(names)
    return tuple((n, _shade(n), family[n]) for n in dict.fromkeys(names))


def _shade(name: str) -> str:
    """Give a colour's hex value by its name, or a quiet grey to be told later."""
    for words in (name, name.replace(" ", ""), name.split()[-1]):
        try:
            return parse_colour(words)
        except Refusal:
            continue
    return rules.NO_SHADE


def _create(answers: rules.Opening, *, json: bool) -> None:
    from zoneinfo import ZoneInfo

    from planner.rules.base import Now

    s = current()
    now = Now(s.clock(), ZoneInfo(answers.zone))
    proposed = rules.opened(answers, when=now.when)
    s.last = s.create([proposed.entry], recorded=s.clock(), rand=s.rand)
    say.written(proposed, s.last, twice="", json=json or s.json, today=now.today)
    if not json:
        say.talk(f"the shop file: {s.path}")
        say.talk('next: bows fair new "Spring market" sat 10:00-16:00, then: fair plan')


def hours(
    words: Annotated[
        list[str] | None, typer.Argument(help='"mon-thu 20:00-22:00, not 24 dec"')
    ] = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Say when you can work at the bench, in plain words; or show what you said.

    Example: bows hours "mon-thu 20:00-22:00, sat 9:00-12:00, not 24 dec"
    """
    from planner.ledgers.shop import bench_hours
    from planner.values.bench import parse_bench_hours, spell

    s = current()
    if not words:
        told = bench_hours(s.ledgers())
        spelled = spell(told) if told.rules or told.extra else ""
        if json or s.json:
            say.as_json({"schema": "spool-to-stall/hours/1", "hours": spelled})
        else:
            say.out(spelled or "no bench hours told yet")
        return
    text = clean(" ".join(words), what="bench hours", longest=2000)
    told = parse_bench_hours(text, today=s.today)

    def rule(led: Ledgers) -> Proposal:
        return rules.hours(
            led, words=text, told=told, spelled=spell(told), when=s.now.when
        )

    s.write(rule, dry_run=dry_run, json=json)


def wage(
    an_hour: Annotated[str, typer.Argument(help="What an hour should earn.")],
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Say what an hour at the bench should earn.

    Example: bows wage 15.00
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        amount = parse_amount(an_hour, shop(led).currency)
        return rules.wage(led, an_hour=amount, words=an_hour, when=s.now.when)

    s.write(rule, dry_run=dry_run, json=json)


def fees(
    percent: Annotated[str, typer.Argument(help='Such as "2.6%".')],
    fixed: Annotated[str, typer.Argument(help="And so much each time.")] = "0",
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Say what a card payment costs: a share and a fixed part.

    Example: bows fees 2.6% 0.10
    """
    s = current()
    match = re.fullmatch(r"(\d{1,2})(?:\.(\d{1,2}))?\s*%?", percent.strip())
    if match is None:
        raise Unreadable("That is no share.", instead="bows fees 2.6% 0.10")
    points = int(match[1]) * 100 + int((match[2] or "0").ljust(2, "0"))

    def rule(led: Ledgers) -> Proposal:
        amount = parse_amount(fixed, shop(led).currency, allow_zero=True)
        return rules.fees(
            led, basis_points=points, fixed=amount, when=s.now.when,
            words=f"{points / 100:g} % and {fixed}",
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def setting(
    name: Annotated[str | None, typer.Argument(help="The setting.")] = None,
    value: Annotated[str | None, typer.Argument(help="Its new value.")] = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Show the settings, or change one.

    Example: bows setting "salvage share" 40
    """
    from planner.ledgers.shop import DEFAULTS
    from planner.ledgers.shop import setting as read

    s = current()
    if name is None or value is None:
        led = s.ledgers()
        told = {key: read(led, key) for key in sorted(DEFAULTS)}
        if json or s.json:
            say.as_json({"schema": "spool-to-stall/settings/1", **told})
        else:
            rows = [(key, rules.setting_words(key, told[key])) for key in told]
            say.table(("setting", "value"), rows)
        return
    words = clean(value, what="value")

    def rule(led: Ledgers) -> Proposal:
        return rules.setting(led, name=name, value=words, when=s.now.when)

    s.write(rule, dry_run=dry_run, json=json)
