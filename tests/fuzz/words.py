"""
Command lines nobody would think of: made from each command's own parameters.

A line is either filled in parameter by parameter, with words that mean something in
the small shop, words that nearly do, and junk; or it is the example in the command's
help with words changed, left out, doubled or put elsewhere.
"""

from __future__ import annotations

import re
import shlex
from typing import Any

from hypothesis import strategies as st

from planner.commands.lazy import make_command
from tests.commands.test_help import COMMANDS, example_of

Words = list[str]

COUNTS = ("1", "3", "12", "0", "-3", "1/2", "2.5", "twelve", "100000", "100001", "٣")
KINDS = ("4in navy", "4in red", "classic 4 nav", "4in ?", "4in", "navy", "5in white")
SPOOLS, BUNDLES, BATCHES = ("S1", "s2", "S9", "C1"), ("C1", "c2", "C9"), ("B1", "B9")
ORDERS, FAIRS, PEOPLE = ("O1", "o9"), ("F1", "Spring", "F9"), ("P1", "P9", "Maren")
LENGTHS = ("32in", "3 yd 8 in", "0.8 m", "87yd", "0in", "-5yd", "9999yd", "1/0 in")
MONEY = ("24.50", "0", "12.345", "-5", "9" * 14, "1e9", "CAD 3", "3,50")
DAYS = (
    "fri", "yesterday", "next sat", "about 3 nov", "2026-05-13", "2024-02-29",
    "30 feb", "5/12", "today 25:00", "sat 14:30", "0001-01-01", "9999-12-31",
    "in 10 days", "sun 8 mar 2:30", "2026-03-08T02:30-05:00", "1926-05-13",
)  # fmt: skip
HOURS = ("mon-thu 20:00-22:00", "sat 9-12", "25:00-26:00", "not sun", "10:00-16:00")
PLACES = ("home", "stall", "boutique moon", "moon", "post")
WORDS = (
    "Maren Oak", "to", "for", "@8.50", "40min", "95", "#1f2a5c", "cash", "card",
    "gift", "body", "knot", "long clip", "2.6%", "busy", "nothing", "grosgrain",
    'body 32in', "2 x navy 1.5in 100yd", "200 card", "cut 10min", "ribbon", "all",
)  # fmt: skip
ODD = (
    "", " ", "-", "--", "---", "-1", "--on", "--nonsense", "=", "%s", "{0}", "\\",
    "'", '"', "`", "$HOME", "\N{BOW AND ARROW}", "🎀👩‍👧‍👦", "קשת ורודה", "قوس أحمر",
    "مَارِن", "żółć ÅÄÖ", "e\u0301" * 20, "\u202eder\u202c", "a\u200bb", "\ufeff",
    "\u2028", "\x1b[31mred", "a\tb", "a\nb", "\x7f", "\udcff", "\U0010ffff", "ﷺ" * 30,
    "１２", "½", "NaN", "inf", "-inf", "1e400", "0x10", "1_000", "None", "null", "[]",
    "9" * 400, "z" * 5_000, "=1+1", "../..", "; DROP TABLE event", "1" + "\u0300" * 99,
)  # fmt: skip

PATHS = (
    "new.file", "new folder", "there", "a/b/c.html", "there/below", ".", "", "~nobody-",
    "~nobody-/x", "🎀.html", "קשת.csv", "n" * 300, "shop/shop.bows", "lines.csv",
    "log.jsonl", "what-if.txt", "\udcff.bin", "a\nb", "nul\x00byte", "-dash",
)  # fmt: skip
"""Names of files within the example's own folder; nothing leads out of it."""

NO_DEMO = ("shop", "there", "there/below", "n" * 300, "~nobody-", "nul\x00byte")
"""Where no demo can be made; making one takes its time and is tested elsewhere."""

_BY_NAME = {
    "quantity": COUNTS, "units": COUNTS, "spools": COUNTS, "last": COUNTS,
    "weight": COUNTS, "days": COUNTS + HOURS, "short": COUNTS, "entry": COUNTS,
    "spool": SPOOLS, "bundle": BUNDLES, "batch": BATCHES, "order": ORDERS,
    "fair": FAIRS, "claimant": ORDERS + FAIRS, "person": PEOPLE, "for": PEOPLE,
    "left": LENGTHS, "length": LENGTHS, "lengths": LENGTHS, "width": LENGTHS,
    "behind": LENGTHS, "label": LENGTHS, "amount": MONEY, "paid": MONEY,
    "fixed": MONEY, "price": MONEY, "fee": MONEY, "deposit": MONEY, "refund": MONEY,
    "on": DAYS, "due": DAYS, "until": DAYS, "expected": DAYS, "latest": DAYS,
    "day": DAYS, "as-of": DAYS, "known-on": DAYS, "hour": HOURS + DAYS, "at": PLACES,
    "hours": HOURS + COUNTS, "to": PLACES + DAYS, "from": PLACES + SPOOLS,
    "command": ("due", "stock", "fair plan", "sold 1 4in red", "log", "undo", "-h"),
}  # fmt: skip
_FILES = {"file", "folder", "target", "source", "page", "people"}
_ALL = (*COUNTS, *KINDS, *SPOOLS, *LENGTHS, *MONEY, *DAYS, *HOURS, *PLACES, *WORDS)
_CODES = {
    r"\bS\d+\b": "S1", r"\bC\d+\b": "C1", r"\bB\d+\b": "B1", r"\bO\d+\b": "O1",
    r"\bF\d+\b": "F1", r"\bP\d+\b": "P1", r"\b(blush|slate|butter|plum)\b": "navy",
}  # fmt: skip

LETTERS = st.characters(blacklist_characters="\x00", blacklist_categories=())
"""Any character that a command line can hold, broken ones (surrogates) as well."""
junk = st.one_of(st.sampled_from(ODD), st.text(LETTERS, max_size=12))


def names_a_file(param: Any) -> bool:
    """Say whether a parameter names a file that the command reads or writes."""
    return _name(param) in _FILES


def _name(param: Any) -> str:
    return str(param.opts[-1]).lstrip("-")


def value(param: Any, command: str) -> st.SearchStrategy[str]:
    """Give words for a parameter: mostly of its sort, else of any, else junk."""
    if names_a_file(param):
        return st.sampled_from(NO_DEMO if command == "demo" else PATHS)
    own = _BY_NAME.get(_name(param), _ALL)
    return st.one_of(
        st.sampled_from(own), st.sampled_from(own), st.sampled_from(_ALL), junk
    )


def made_up(command: str, params: list[Any]) -> st.SearchStrategy[Words]:
    """Fill in a command's parameters; a few options, each argument mostly there."""
    parts = [_filled(param, command) for param in params if param.name != "help"]
    return st.tuples(*parts).map(lambda some: [word for part in some for word in part])


def _filled(param: Any, command: str) -> st.SearchStrategy[Words]:
    one = value(param, command)
    if param.param_type_name == "argument":
        if param.nargs == 1:
            return st.lists(one, min_size=int(param.required), max_size=1)
        kinds = st.sampled_from(KINDS + LENGTHS).map(str.split)
        free = st.lists(one, max_size=5)
        return st.one_of(
            free, kinds, st.tuples(one.map(lambda w: [w]), kinds).map(_sum)
        )
    option = param.opts[-1]
    given = st.just([option]) if param.is_flag else one.map(lambda w: [option, w])
    return st.one_of(st.just([]), st.just([]), st.just([]), given)


def _sum(parts: tuple[Words, ...]) -> Words:
    return [word for part in parts for word in part]


def changed(example: str, command: str) -> st.SearchStrategy[Words]:
    """Take the example of the help and change a word or two of it."""
    for code, known in _CODES.items():
        example = re.sub(code, known, example)
    words = shlex.split(example)
    words = words[1 + len(command.split()) :] if words[0] == "bows" else []
    return st.lists(_change(), max_size=2).map(lambda turns: _turned(words, turns))


def _change() -> st.SearchStrategy[tuple[str, int, str]]:
    what = st.sampled_from(("put", "put", "drop", "double", "move"))
    return st.tuples(what, st.integers(0, 9), st.one_of(st.sampled_from(_ALL), junk))


def _turned(words: Words, turns: list[tuple[str, int, str]]) -> Words:
    made = list(words)
    for what, place, word in turns:
        at = place % len(made) if made else 0
        if what == "put":
            made[at : at + 1] = [word]
        elif what == "drop":
            made[at : at + 1] = []
        elif made:
            made.insert(len(made) if what == "move" else at, made[at])
    return made


def argv(name: str, target: str) -> st.SearchStrategy[Words]:
    """Give command lines of one command, its name first."""
    made = make_command(name.split()[-1], target)
    params = [param for param in made.params if param.name != "help"]
    ways = [made_up(name, params)]
    if not any(names_a_file(param) for param in params):
        ways.append(changed(example_of(name, target), name))
    return st.one_of(ways).map(lambda words: [*name.split(), *words])


__all__ = ["COMMANDS", "ODD", "PATHS", "Words", "argv", "junk"]
