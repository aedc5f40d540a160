"""
Slips in the command line, told in her words: what is wrong, and what to type.

Typer's own errors are known by their names: its copy of click is not for importing.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from planner.errors import Absurd, Refusal, Unknown, Unreadable
from planner.values.text import quoted

_BELOW_ZERO = re.compile(r"-[.,]?\d")
_EXAMPLE = re.compile(r"^Example: (.*)$", re.M)
_SIZE = re.compile(r"should be (greater|less) than or equal to (-?\d+)")


def slip(error: Exception) -> Refusal | None:
    """Turn an error that is no bug of ours into a refusal; None when it is one."""
    if isinstance(error, OSError):
        return _file(error)
    if getattr(error, "format_message", None) is None:
        return None
    told = _TOLD.get(type(error).__name__, _usage)
    return told(error)


def _file(error: OSError) -> Refusal:
    name = quoted(os.fspath(error.filename), longest=120) if error.filename else "It"
    reason = (error.strerror or "the system refused").lower()
    return Refusal(f"{name} can't be used: {reason}.", instead="name another file")


def _path(error: Any) -> str:
    return str(error.ctx.command_path) if error.ctx else "bows"


def _example(error: Any) -> str:
    """Give the example in the command's help, else how to see its help."""
    found = _EXAMPLE.search((error.cmd.help or "") if error.cmd else "")
    return found[1] if found else f"{_path(error)} --help"


def _label(error: Any) -> str:
    param = error.param
    if param is None:
        return "it"
    return str(param.opts[0] if param.opts[0].startswith("-") else param.name)


def _missing(error: Any) -> Refusal:
    label = _label(error)
    wants = label if label.startswith("-") else "more"
    words = getattr(error.param, "help", "") or label
    return Unreadable(f"{_path(error)} wants {wants}: {words}", instead=_example(error))


def _no_option(error: Any) -> Refusal:
    if _BELOW_ZERO.match(error.option_name):
        return Absurd(
            f"{quoted(error.option_name)} is less than nothing.",
            instead=_example(error),
        )
    options = [opt for param in error.cmd.params for opt in param.opts]
    return Unknown(
        f"{_path(error)} has no option {quoted(error.option_name)}.",
        instead=_near(error.option_name, options) or f"{_path(error)} --help",
    )


def _value(error: Any) -> Refusal:
    size = _SIZE.search(error.message)
    wanted = "a whole number"
    if size:
        wanted = f"{'at least' if size[1] == 'greater' else 'at most'} {size[2]}"
    elif "integer" not in error.message:
        wanted = "something else"
    return Unreadable(
        f"{_path(error)} takes {wanted} for {_label(error)}.", instead=_example(error)
    )


def _no_value(error: Any) -> Refusal:
    return Unreadable(
        f"{error.option_name} wants a value after it.", instead=_example(error)
    )


def _usage(error: Any) -> Refusal:
    words = str(error.format_message())
    if words.startswith("No such command"):
        return _no_command(error, words.partition(" command ")[2].strip("'\"."))
    extra = re.search(r"extra argument\S* \((.*)\)", words, re.S)
    if extra:
        words = f"That is more than {_path(error)} takes: {quoted(extra[1])}."
    return Unreadable(words, instead=_example(error))


def _no_command(error: Any, name: str) -> Refusal:
    path = _path(error)
    known = error.cmd.list_commands(error.ctx)
    near = _meant(name, known) or _near(name, known)
    return Unknown(
        f"{path} has no command {quoted(name)}.",
        instead=f"{path} {near}" if near else f"{path} --help",
    )


def _meant(name: str, known: Iterable[str]) -> str:
    """Give the command whose word is another form of the one typed."""
    plain = name.lower().removesuffix("ing") if len(name) > 5 else name.lower()
    for form in (plain, plain + "e", plain.removesuffix("s")):
        word = _FORMS.get(form, "")
        if word in known:
            return word
    return ""


_FORMS = {
    "sell": "sold", "make": "made", "mak": "made", "spoil": "spoiled", "lose": "lost",
    "los": "lost", "find": "found", "gave": "give", "given": "give",
    "had": "have", "moved": "move", "counted": "count", "took": "take",
    "taken": "take", "color": "colour", "opened": "open",
    "receive": "in", "received": "in", "bought": "in", "buy": "in",
}  # fmt: skip
"""Other forms of the words that commands are named by."""


def _near(typed: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    # Near words only for what could be a word: junk would be compared for minutes.
    near = get_close_matches(typed, list(known), n=1) if len(typed) < 40 else []
    return near[0] if near else ""


_TOLD: Mapping[str, Callable[[Any], Refusal]] = {
    "MissingParameter": _missing,
    "NoSuchOption": _no_option,
    "BadParameter": _value,
    "BadOptionUsage": _no_value,
}
