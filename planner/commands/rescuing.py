"""`bows rescue`: a new shop file out of a damaged one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import say
from planner.commands.files import named
from planner.commands.options import Json
from planner.commands.session import FILE_NAME, current
from planner.log.chain import short
from planner.rules.base import plural
from planner.values.money import minor_digits

if TYPE_CHECKING:
    from planner.events.shop import ShopSetUp
    from planner.log.rescue import Rescue

_MOST = 12
"""As many lost events are named at once."""


def rescue(
    target: Annotated[str, typer.Argument(help="The new file, or a folder for it.")],
    zone: Annotated[
        str | None,
        typer.Option("--zone", help="The shop's zone, should event 1 be lost."),
    ] = None,
    currency: Annotated[
        str | None, typer.Option("--currency", help="Its currency, in that case.")
    ] = None,
    metric: Annotated[
        bool, typer.Option("--metric", help="Its lengths are metric, in that case.")
    ] = False,
    json: Json = False,
) -> None:
    """
    Write all whole events of a damaged shop file to a new one; the old one stays.

    Each keeps its number, and the head printed on old pages is still known: try
    bows --shop NEW check --against HEAD. What is lost is named.

    Example: bows rescue rescued.bows
    """
    from planner.log.codec import registry
    from planner.log.rescue import rescue as write_anew

    s = current()
    path = named(target)
    path = path / FILE_NAME if path.is_dir() else path
    made = write_anew(
        s.path, path, using=registry(), recorded=s.clock(), rand=s.rand,
        first=_set_up(zone, currency, metric),
    )  # fmt: skip
    if json or s.json:
        say.as_json(_json(made))
        return
    for line in _told(made):
        say.out(line)
    say.talk(f'next: bows --shop "{made.path}" check; the old file is as it was')


def _set_up(zone: str | None, currency: str | None, metric: bool) -> ShopSetUp | None:
    """Make the set-up that takes the place of a lost one."""
    from planner.commands.shop import check_zone
    from planner.events.shop import ShopSetUp

    if zone is None or currency is None:
        return None
    check_zone(zone)
    minor_digits(currency.upper())
    return ShopSetUp(
        name="My bows", zone=zone, currency=currency.upper(),
        units="metric" if metric else "us", paper="a4" if metric else "letter",
    )  # fmt: skip


def _told(made: Rescue) -> list[str]:
    said = [f"{plural(made.events, 'whole event')} written to {made.path}"]
    if made.lost:
        first = ", ".join(map(str, made.lost[:_MOST]))
        more = f" and {len(made.lost) - _MOST:,} more" if made.lost[_MOST:] else ""
        said.append(f"lost: event {first}{more}; a mark keeps each number")
    else:
        said.append("no event before the last whole one is lost")
    if made.texts_lost:
        said.append(
            f"{plural(made.texts_lost, 'text')} about people can't be proved: left out"
        )
    return [*said, f"head: {short(made.head.hash)}"]


def _json(made: Rescue) -> dict[str, object]:
    return {
        "schema": "spool-to-stall/rescue/1", "path": str(made.path),
        "events": made.events, "lost": list(made.lost), "texts": made.texts,
        "texts_lost": made.texts_lost, "head": made.head.hash.hex(),
    }  # fmt: skip
