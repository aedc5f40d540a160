"""The `bows` command: the table of commands, the global options, and how it ends."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import Annotated, Any

import typer

from planner.commands import lean, say
from planner.commands.lazy import SETTINGS, lazy_group
from planner.commands.session import (
    Session,
    begin,
    current,
    finish,
    last_written,
    shop_path,
)
from planner.errors import CacheLost, Trouble

WHERE: dict[str, Any] = {
    # the shop
    "open": "shop:open_shop",
    "demo": "demo:demo",
    "hours": "shop:hours",
    "wage": "shop:wage",
    "fees": "shop:fees",
    "setting": "shop:setting",
    # what can be made, of what
    "colour": "catalogue:colour",
    "ribbon": "catalogue:ribbon",
    "pattern": "catalogue:pattern",
    "colourway": "catalogue:colourway",
    "set": "catalogue:set_unit",
    "price": "catalogue:price",
    "retire": "catalogue:retire",
    # ribbon and supplies
    "in": "spools:spool_in",
    "read": "spools:spool_read",
    "spool": {
        "": "One spool: found, joined, wound, ended, scrapped, sent, set aside.",
        "found": "spools:spool_found",
        "empty": "spools:spool_empty",
        "join": "spools:spool_join",
        "wind": "spools:spool_wind",
        "end": "spools:spool_end",
        "scrap": "spools:spool_scrap",
        "send": "spools:spool_send",
        "back": "spools:spool_back",
        "aside": "spools:spool_aside",
    },
    "supply": {
        "": "Clips, cards, thread, glue: named, in, used, counted, out.",
        "new": "catalogue:supply",
        "in": "restocks:supply_in",
        "used": "stock:supply_used",
        "count": "stock:supply_count",
        "out": "restocks:supply_out",
    },
    "restock": {
        "": "Ribbon and supplies on the way.",
        "order": "restocks:restock_order",
        "in": "restocks:restock_in",
        "cancel": "restocks:restock_cancel",
    },
    # an evening at the bench
    "cut": "bench:cut",
    "cut-late": "bench:cut_late",
    "made": "bench:made",
    "spoiled": "bench:spoiled",
    "sitting": "bench:sitting",
    "scrap": "bench:scrap",
    "recut": "bench:recut",
    "count-parts": "bench:count_parts",
    "rework": "bench:rework",
    "apart": "bench:apart",
    "trimmings": "bench:trimmings",
    # finished bows
    "have": "stock:have",
    "count": "stock:count",
    "move": "stock:move",
    "give": "stock:give",
    "write-off": "stock:write_off",
    "found": "stock:found",
    "lost": "stock:lost",
    "show": "stock:show",
    "labels": "tracing:labels",
    "name-batch": "tracing:name_batch",
    # orders
    "order": {
        "": "Orders: asked, taken, changed, ready, paid, handed over, back.",
        "ask": "orders:ask",
        "take": "orders:take",
        "change": "orders:change",
        "ready": "orders:ready",
        "off": "orders:off",
        "pay": "orders:pay",
        "refund": "orders:refund",
        "hand": "orders:hand",
        "lost": "returns:lost",
        "back": "returns:back",
        "exchange": "returns:exchange",
    },
    "reserve": "orders:reserve",
    # selling
    "sold": "selling:sold",
    "taken-back": "selling:taken_back",
    "cost": "selling:cost",
    "boutique": {
        "": "Shops that sell her bows: consigned, their statements, wholesale.",
        "new": "boutiques:new",
        "consign": "boutiques:consign",
        "statement": "boutiques:statement",
        "wholesale": "boutiques:wholesale",
    },
    # fairs
    "fair": {
        "": "A fair: announced, planned, packed, opened, closed, settled.",
        "new": "fairs:new",
        "change": "fairs:change",
        "off": "fairs:off",
        "plan": "planning:fair_plan",
        "accept": "planning:fair_accept",
        "tally": "settling:tally",
        "pack": "fairs:pack",
        "top-up": "fairs:top_up",
        "open": "fairs:open_day",
        "day": "settling:day",
        "close": "fairs:close_day",
        "sold-out": "fairs:sold_out",
        "cost": "fairs:cost",
        "crowd": "fairs:crowd",
        "settle": "settling:settle",
        "unlogged": "settling:unlogged",
        "settlement": "settling:settlement",
    },
    # the questions
    "due": "planning:due",
    "rush": "promising:rush",
    "promise": "promising:promise",
    "stock": "questions:stock",
    "spools": "questions:spools",
    "bundles": "questions:bundles",
    "orders": "questions:orders",
    "fairs": "questions:fairs",
    "supplies": "questions:supplies",
    "catalogue": "questions:patterns",
    "story": "stories:story",
    "trace": "tracing:trace",
    "trim": "trimming:trim",
    "bench": "benching:bench",
    "calendar": "benching:calendar",
    "how-good": "scoring:how_good",
    "cutting": "cutting:cutting",
    "why": "records:why",
    "what-if": "whatif:what_if",
    "report": "pages:report",
    # the records themselves
    "log": "evening:log",
    "take-in": "take_in:take_in",
    "undo": "records:undo",
    "again": "records:again",
    "note": "records:note",
    "entries": "records:entries",
    "people": "records:people",
    "check": "records:check",
    "rescue": "rescuing:rescue",
    "back-up": "records:back_up",
    "export": "records:export",
    "tables": "tables:tables",
    "csv": "tables:csv_table",
    "import": "records:import_log",
    "forget": "records:forget",
}
"""Every command -> ``module:function``; a table of its own is a group."""

app = typer.Typer(
    name="bows", cls=lazy_group(WHERE), add_completion=True, no_args_is_help=True,
    pretty_exceptions_enable=False, context_settings=SETTINGS,
)  # fmt: skip


@app.callback()
def options(
    shop: Annotated[
        str | None,
        typer.Option("--shop", help="The shop file or its folder.", envvar="BOWS_SHOP"),
    ] = None,
    json: Annotated[
        bool, typer.Option("--json", help="Answer with one JSON object.")
    ] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="Don't ask; take what I type.")
    ] = False,
) -> None:
    """
    Plan orders, ribbon and craft fairs for one maker of hair bows.

    Everything stays in one file on this computer. Begin with: bows demo
    """
    if not _held:
        begin(Session(shop_path(shop), json=json, yes=yes))


_held: list[Session] = []
"""The session that outlives a command line (`bows log`, `bows what-if`)."""


def run() -> None:
    """Run `bows`; 0 done, 1 a bug of ours, 2 can't be read or refused."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    say.alone()
    lean.begin()
    try:
        code = main(sys.argv[1:])
    except BrokenPipeError:
        code = 0
    hang_up()
    lean.end()
    sys.exit(code)


def hang_up() -> None:
    """Let go of what is said to nobody any more (`bows stock | head -1`), quietly."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def main(argv: list[str]) -> int:
    """Run one command line and give its exit code."""
    from typer.main import get_command

    code = _run(get_command(app), argv)
    finish()
    return code


def answer(command: Any, argv: list[str], *, session: Session) -> int:
    """Run a command line within a session that goes on; give its exit code."""
    _held.append(session)
    try:
        return _run(command, argv)
    finally:
        _held.pop()


def _run(command: Any, argv: list[str]) -> int:
    before = last_written()
    try:
        code = command.main(args=argv, prog_name="bows", standalone_mode=False)
    except Trouble as trouble:
        return refuse(trouble, json=_wants_json(argv))
    except BrokenPipeError:
        return 0
    except SystemExit as end:
        # With 1 the libraries end where nobody listens any more; we never end so.
        return 0 if end.code == 1 else int(end.code or 0)
    except CacheLost:
        current().lose_cache()
        # What was written by then is said by then too.
        again = last_written() in (None, before)
        return _run(command, argv) if again else 0
    except Exception as error:
        return _other(error, json=_wants_json(argv))
    return code if isinstance(code, int) else 0


def _wants_json(argv: Sequence[str]) -> bool:
    """Say whether the answer is to be one JSON object, a refusal as well."""
    return "--json" in argv or bool(_held and _held[-1].json)


def refuse(trouble: Trouble, *, json: bool) -> int:
    """Say a refusal in her words, and as an object where one is asked; exit code 2."""
    if json:
        from planner.commands import say

        say.as_json(
            {
                "schema": "spool-to-stall/refusal/1", "refused": trouble.what,
                "instead": trouble.instead,
            }
        )  # fmt: skip
    print(trouble.what, file=sys.stderr)
    if trouble.instead:
        print(f"  try: {trouble.instead}", file=sys.stderr)
    return 2


def _other(error: Exception, *, json: bool) -> int:
    """Tell a slip in the command line from a bug of ours."""
    name = type(error).__name__
    if name in ("Exit",):
        return int(getattr(error, "exit_code", 0))
    if name == "Abort":
        stopped = Trouble("Stopped; nothing was written.", instead="bows --help")
        return refuse(stopped, json=json)
    if name == "NoArgsIsHelpError":
        return 2  # its help is what was printed
    from planner.commands.slips import slip

    refusal = slip(error)
    if refusal is not None:
        return refuse(refusal, json=json)
    if sys.flags.dev_mode:
        raise error
    print(
        f"This is a bug of ours, not yours ({name}: {error}). Nothing was written.",
        file=sys.stderr,
    )
    return 1
