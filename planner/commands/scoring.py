"""How good the promises and the plans of fairs were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import TYPE_CHECKING

from planner.commands import say
from planner.commands.asking import made_words
from planner.commands.options import Json
from planner.commands.questions import Page, finish
from planner.commands.session import Session, current
from planner.fold import Folder
from planner.ledgers.state import Ledgers
from planner.log.bodies import read_bodies
from planner.log.codec import decode_many

if TYPE_CHECKING:
    from planner.plans.scored import Promised
    from planner.views.how_good import HowGoodReport


FAIRS = 4
"""How many fairs are looked at, the newest."""


def how_good(json: Json = False, page: Page = None) -> None:
    """
    Say how good promises, fair and bench plans were: what was stated, and what came.

    Beside them stand stated minutes and full hours, and as many as last time.

    Example: bows how-good
    """
    s = current()
    view = how_good_view(s, s.ledgers())
    if not finish(s, view, json=json, page=page):
        return
    say.out(view.short)
    if view.scored:
        say.out(f"Brier score {view.brier_shown} (0 is perfect)")
        if view.plain_shown:
            say.out(f"  against stated minutes, full hours: {view.plain_shown}")
        say.out(f"ready between early and late: {view.within}; 80 % ought to be")
        say.out(f"ready by the late day: {view.by_late}; 90 % ought to be")
        say.table(
            ("chances stated", "promises", "stated", "came true"),
            [(g.chances, str(g.count), g.told_shown, g.came_shown)
             for g in view.groups],
            right=(1, 2, 3),
        )  # fmt: skip
    _say_benches(view)
    _say_fairs(view)
    for line in view.rests_on:
        say.out(f"  · {line}")


def _say_benches(view: HowGoodReport) -> None:
    if not view.benches:
        return
    say.out(view.benches_short)
    say.table(
        ("day", "bows planned", "of them made", "minutes planned", "worked"),
        [(b.day, str(b.planned), str(b.made), b.minutes_shown, b.worked_shown)
         for b in view.benches],
        right=(1, 2, 3, 4),
    )  # fmt: skip


def _say_fairs(view: HowGoodReport) -> None:
    if not view.fairs:
        return
    say.out(view.fairs_short)
    say.table(
        ("fair", "name", "said", "came", "kinds within", "off, last time"),
        [(f.code, f.fair, f.said + ("" if f.told == "accepted" else " *"),
          f.came_shown, f"{f.within} of {f.kinds}" if f.kinds else "—", f.losses)
         for f in view.fairs],
        right=(3,),
    )  # fmt: skip
    if any(f.told != "accepted" for f in view.fairs):
        say.out("* no plan's figures were kept: worked out from the fairs before it")


def how_good_view(s: Session, led: Ledgers) -> HowGoodReport:
    """Score the promises and build the view."""
    from planner.engines.bench_scores import bench_scores
    from planner.engines.fair_scores import fair_scores
    from planner.engines.promises import how_good as score
    from planner.engines.promises import promises
    from planner.views.how_good_builder import build

    kept = promises(led)
    scores = score(kept, s.today, _plain(s, led, kept))
    return build(
        led, scores, fair_scores(led, newest=FAIRS), bench_scores(led, s.today),
        made=made_words(s),
    )  # fmt: skip


def _plain(
    s: Session, led: Ledgers, kept: Sequence[Promised]
) -> Mapping[int, date | None]:
    """Fold the log up to each promise, and reckon as she would without the engine."""
    from planner.engines.promises import plain_finish

    found: dict[int, date | None] = {}
    if not kept:
        return found
    folder = Folder(
        zone=led.zone, decode=decode_many, bodies=read_bodies, voided=led.voided
    )
    after = 0
    for one in kept:
        last = _end_of_entry(s, one.seq)
        for rows in s.log.rows(after=after, upto=last):
            folder.feed(rows)
        after = last
        row = s.log.row(one.seq)
        if row is not None:
            moment = _moment(s, row[5])
            found[one.seq] = plain_finish(folder.ledgers, one.order, now=moment)
    return found


def _end_of_entry(s: Session, seq: int) -> int:
    row = s.log.row(seq)
    return max((r[0] for r in s.log.entry_rows(row[2])), default=seq) if row else seq


def _moment(s: Session, happened: str) -> datetime:
    if len(happened) == 10:
        return datetime.combine(date.fromisoformat(happened), time(12), s.zone)
    return datetime.fromisoformat(happened).astimezone(s.zone)
