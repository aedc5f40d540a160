"""Commands of the catalogue: colour, ribbon, pattern, colourway, set, price, retire."""

from __future__ import annotations

import re
from typing import Annotated, cast

import typer

from planner.commands.items import split_items
from planner.commands.options import DryRun, Json, On
from planner.commands.session import current
from planner.errors import Refusal, Unreadable
from planner.ledgers.catalogue import catalogue
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules import catalogue as rules
from planner.rules.base import Proposal
from planner.rules.finding import (
    find_colour,
    find_kind,
    find_pattern,
    find_ribbon,
    find_supply,
    find_unit,
)
from planner.values.colours import parse_colour
from planner.values.durations import parse_minutes, parse_seconds_step
from planner.values.money import parse_amount
from planner.values.quantities import parse_count
from planner.values.text import clean, quoted
from planner.values.units import parse_length


def colour(
    name: Annotated[list[str], typer.Argument(help="Your own name for it.")],
    value: Annotated[
        str | None, typer.Option("--hex", help='Such as "#1f2a5a", or a CSS name.')
    ] = None,
    family: Annotated[
        str | None, typer.Option("--family", help="Such as blue; for near colours.")
    ] = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Name a ribbon colour.

    Example: bows colour navy --hex "#1f2a5a" --family blue
    """
    s, words = current(), clean(" ".join(name), what="colour's name", longest=60)
    shade = parse_colour(value) if value else _shade_of(words)

    def rule(led: Ledgers) -> Proposal:
        return rules.colour(
            led, name=words, hex=shade, when=s.now.when,
            family=clean(family or words.split()[-1], what="family", longest=40),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _shade_of(name: str) -> str:
    """Read a shade off a colour's name, where it is a standard one."""
    try:
        return parse_colour(name)
    except Refusal as refusal:
        raise Unreadable(
            f"{refusal.what} Its shade must be told.",
            instead=f"bows colour {name} --hex {_nearest(name)}",
        ) from refusal


def _nearest(name: str) -> str:
    """Say a shade to type: a standard colour among the words, else where to put it."""
    for word in reversed(name.split()):
        try:
            parse_colour(word)
        except Refusal:
            continue
        return f'{word}   (roughly; or its own "#rrggbb")'
    return '"#rrggbb"   (six digits of red, green and blue; or a CSS colour\'s name)'


def ribbon(
    words: Annotated[list[str], typer.Argument(help="The colour, then the width.")],
    material: Annotated[str, typer.Option("--material")] = "grosgrain",
    finish: Annotated[
        str, typer.Option("--finish", help="dyed, printed, foil or glitter.")
    ] = "dyed",
    number: Annotated[
        str, typer.Option("--number", help="The trade number, only as a note.")
    ] = "",
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Name a kind of ribbon by its colour and measured width.

    Example: bows ribbon navy 1.5in
    """
    s = current()
    if len(words) < 2:
        raise Unreadable("Type the colour, then the width.", instead="navy 1.5in")
    width = parse_length(words[-1])
    if finish not in ("dyed", "printed", "foil", "glitter"):
        raise Unreadable(
            "A ribbon is dyed, printed, foil or glitter.", instead="--finish printed"
        )

    def rule(led: Ledgers) -> Proposal:
        return rules.ribbon(
            led, colour=find_colour(led, words[:-1]), width=width,
            material=clean(material, what="material", longest=60),
            finish=cast(rules.Finish, finish), when=s.now.when,
            trade_number=clean(number, what="number", longest=20) if number else "",
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def supply(
    name: Annotated[list[str], typer.Argument(help="Such as short clip.")],
    serves: Annotated[
        str, typer.Option("--serves", help="How many bows one unit serves.")
    ] = "1",
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Name a supply: clips by size, cards, thread, glue, stiffener.

    Example: bows supply new glue stick --serves 20
    """
    s = current()
    words = clean(" ".join(name), what="supply's name", longest=60)
    yields = parse_count(serves, what="bows")

    def rule(led: Ledgers) -> Proposal:
        return rules.supply(led, name=words, yields=yields, when=s.now.when)

    s.write(rule, dry_run=dry_run, json=json)


_PARTS = '--part "body 32in", or several: --part "2 x tails 10in"'
_COUNT_LAST = re.compile(r"(\S.*?)\s*(?:\bx\s*(\d+)|\s(\d+)\s*x)\s*", re.I)


def _part(text: str) -> tuple[str, int, int]:
    """Read `body 32in` or `2 x tail 9in` as role, length, count."""
    last = _COUNT_LAST.fullmatch(text)
    if last:
        raise Unreadable(
            f"{quoted(text)}: how many comes first.",
            instead=f'--part "{last[2] or last[3]} x {last[1]}"',
        )
    number, times, rest = text.partition(" x ")
    words = (rest if times else text).split()
    count = parse_count(number, what="parts", most=100) if times else 1
    if len(words) < 2:
        raise Unreadable("A part is a role and a length.", instead=_PARTS)
    return (
        clean(words[0], what="part's name", longest=40).lower(),
        parse_length(" ".join(words[1:]), default="in"),
        count,
    )


def _step(text: str) -> tuple[str, int, bool]:
    """Read `tie 3min` or `stiffen 2min optional` as name, seconds, optional."""
    words = text.split()
    optional = words[-1].lower() == "optional"
    words = words[:-1] if optional else words
    if len(words) < 2:
        raise Unreadable("A step is a name and a time.", instead='--step "tie 3min"')
    name = clean(" ".join(words[:-1]), what="step's name", longest=60)
    return name, parse_seconds_step(words[-1]), optional


def _need(led: Ledgers, text: str) -> tuple[str, int]:
    number, times, rest = text.partition(" x ")
    count = parse_count(number, what="units", most=100) if times else 1
    return find_supply(led, rest if times else text), count


def pattern(
    words: Annotated[list[str], typer.Argument(help="Its name, then its size.")],
    width: Annotated[str, typer.Option("--width", help="The ribbon's width.")],
    part: Annotated[
        list[str], typer.Option("--part", help='"body 32in"; "2 x tails 10in"')
    ],
    supply: Annotated[
        list[str] | None, typer.Option("--supply", help='"1 x long clip"')
    ] = None,
    step: Annotated[
        list[str] | None, typer.Option("--step", help='"tie 3min", "... optional"')
    ] = None,
    set_up: Annotated[
        str | None, typer.Option("--set-up", help="Minutes once a sitting.")
    ] = None,
    setting: Annotated[
        str | None, typer.Option("--setting", help="Time the glue wants to set.")
    ] = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Say how a bow is made; said again, it becomes the next revision.

    Example: bows pattern classic 4in --width 1.5in --part "body 32in" --part "knot 6in"
    """
    s = current()
    if len(words) < 2:
        raise Unreadable("Type its name, then its size.", instead="classic 4in")
    size = parse_length(words[-1])
    name = clean(" ".join(words[:-1]), what="pattern's name", longest=60)
    parts = [_part(text) for text in part]
    steps = [_step(text) for text in step or ()]

    def rule(led: Ledgers) -> Proposal:
        return rules.pattern(
            led, name=name, size=size, width=parse_length(width), parts=parts,
            supplies=[_need(led, text) for text in supply or ()], steps=steps,
            set_up=parse_minutes(set_up) if set_up else 0,
            setting=parse_minutes(setting) if setting else 0, when=s.now.when,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def colourway(
    name: Annotated[str, typer.Argument(help='Such as "navy with white".')],
    roles: Annotated[list[str], typer.Argument(help='"body=navy 1.5in" ...')],
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Say which ribbon each part takes; the first one is its colour in the matrix.

    Example: bows colourway "navy white" "body=navy 1.5in" "knot=white 1.5in"
    """
    s, words = current(), clean(name, what="colourway's name", longest=60)
    pairs = [text.partition("=") for text in roles]
    if any(not role or not ribbon for role, _, ribbon in pairs):
        raise Unreadable("A part and its ribbon.", instead='"body=navy 1.5in"')

    def rule(led: Ledgers) -> Proposal:
        found = [(a.strip().lower(), find_ribbon(led, b)) for a, _, b in pairs]
        return rules.colourway(led, name=words, roles=found, when=s.now.when)

    s.write(rule, dry_run=dry_run, json=json)


def set_unit(
    name: Annotated[str, typer.Argument(help='Such as "pair 4in red".')],
    kinds: Annotated[list[str], typer.Argument(help='"1 4in red, 1 4in navy"')],
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Name a set that sells as one: a pair, or several kinds.

    Example: bows set "pair 4in navy" "2 4in navy"
    """
    s, words = current(), clean(name, what="set's name", longest=60)
    whole = all(" " in text.strip() for text in kinds)
    items = split_items([(", " if whole else " ").join(kinds)])
    if any(one.price for one in items):
        raise Unreadable(
            "A set has one price, and its bows none of their own.",
            instead=f"leave it out, then: bows price 15.00 {quoted(words)}",
        )

    def rule(led: Ledgers) -> Proposal:
        pairs = [(find_kind(led, one.words), one.number) for one in items]
        return rules.set_named(led, name=words, kinds=pairs, when=s.now.when)

    s.write(rule, dry_run=dry_run, json=json)


def retire(
    what: Annotated[list[str], typer.Argument(help="Its code or its name.")],
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Say that a colour, ribbon, supply, pattern, colourway or set is no longer used.

    Example: bows retire navy-1.5in
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        return rules.retired(led, what=" ".join(what), when=s.now.when)

    s.write(rule, dry_run=dry_run, json=json)


def price(
    amount: Annotated[str, typer.Argument(help="The price of one.")],
    words: Annotated[list[str], typer.Argument(help="A kind, a size or a set.")],
    channel: Annotated[
        str, typer.Option("--list", help="retail, fair or wholesale.")
    ] = "retail",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Set a price, of a size or of one kind, from now on.

    Example: bows price 8.00 4in
    """
    s = current()
    if channel not in ("retail", "fair", "wholesale"):
        raise Unreadable(
            "The price lists are retail, fair, wholesale.", instead="--list fair"
        )

    def rule(led: Ledgers) -> Proposal:
        _price_first(led, [amount, *words])
        what, name = _priced(led, words)
        return rules.price(
            led, what=what, name=name, channel=cast(rules.Channel, channel),
            amount=parse_amount(amount, shop(led).currency), when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _price_first(led: Ledgers, typed: list[str]) -> None:
    """
    Look whether the price was typed last.

    Raises:
        Unreadable: with the words in their order.
    """
    *what, last = typed
    if _is_amount(led, last) and not _is_amount(led, typed[0]):
        raise Unreadable(
            "The price comes first, then what it is for.",
            instead=f"bows price {last} {' '.join(what)}",
        )


def _is_amount(led: Ledgers, text: str) -> bool:
    try:
        return bool(parse_amount(text, shop(led).currency))
    except Refusal:
        return False


def _priced(led: Ledgers, words: list[str]) -> tuple[str, str]:
    from planner.errors import Unknown

    cat = catalogue(led)
    try:
        code = find_pattern(led, words)
        return code, cat.patterns[code].name
    except Unknown:
        code, _ = find_unit(led, words)
        return code, cat.kind_name(code)
