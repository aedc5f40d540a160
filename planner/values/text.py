"""Words she types and words that leave: cleaned, quoted, made safe for a sheet."""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from planner.errors import Absurd, Unreadable

# Embeddings, overrides and isolates turn a line's reading order round; the plain
# left-to-right and right-to-left marks and the joiners of emoji stay allowed.
_TURNERS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_UNSEEN = frozenset("\u200b\u2060\ufeff\u00ad")
_REFUSED_CATEGORIES = frozenset({"Cc", "Cs", "Zl", "Zp"})
_TRIGGERS = tuple("=+-@\t\r\n") + tuple("\uff1d\uff0b\uff0d\uff20")
_PLAIN_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_MIXED = r"(?<![0-9/.])(?:([0-9]{1,6})[ -])?([0-9]{1,2})/(2|4|8|16|32|64)(?![0-9/])"
_LOOSE_DOT = r"(?<![0-9])\.|\.(?![0-9])"
_PIECE = re.compile(
    r"""(?P<gap>[ \t\r\n]++)|(?P<plain>[^ \t\r\n'"\\]++)|'(?P<single>[^']*+)'"""
    r"""|"(?P<double>(?:[^"\\]++|\\.)*+)"|\\(?P<kept>.)""",
    re.DOTALL,
)


def quoted(text: str, *, longest: int = 40) -> str:
    """Quote what she typed for a message: shortened, nothing in it unseen."""
    head = text[: longest + 1]
    seen = "".join(_visible(letter) for letter in head[:longest])
    return f'"{seen}…"' if len(head) > longest else f'"{seen}"'


def _visible(letter: str) -> str:
    return f"\\u{ord(letter):04x}" if is_hidden(letter) else letter


def is_hidden(letter: str) -> bool:
    """Say whether a character is a control, a direction turner or can't be seen."""
    if letter in _TURNERS or letter in _UNSEEN:
        return True
    return unicodedata.category(letter) in _REFUSED_CATEGORIES


def check_typed(text: str, *, what: str, longest: int, instead: str) -> str:
    """
    Strip and compose (NFC) a short typed value; its length and letters are checked.

    Raises `Unreadable` when it is empty, has hidden characters or is longer than
    `longest` characters; the length is looked at first, so junk is refused fast.
    """
    if len(text) > longest:
        raise Unreadable(
            f"That is {len(text):,} characters, far too long for {what}.",
            instead=instead,
        )
    bare = unicodedata.normalize("NFC", text.strip(" \u00a0"))
    if not bare:
        raise Unreadable(f"Nothing was typed for {what}.", instead=instead)
    if any(is_hidden(letter) for letter in bare):
        raise Unreadable(
            f"{quoted(bare)} has a hidden character in it, so it can't be {what}.",
            instead=instead,
        )
    return bare


def clean(text: str, *, what: str, longest: int = 200) -> str:
    """
    Strip and compose (NFC) free words; emoji and right-to-left letters stay.

    Raises `Unreadable` when nothing is left or a control character, a direction
    override or an unseen character is inside, `Absurd` when it is longer than
    `longest` characters.
    """
    if len(text) > longest:
        raise Absurd(
            f"The {what} is {len(text):,} characters long; at most {longest} fit.",
            instead=f"Type the {what} in at most {longest} characters.",
        )
    bare = unicodedata.normalize("NFC", text.strip(" \u00a0"))
    _check_free_words(bare, what=what)
    return bare


def _check_free_words(bare: str, *, what: str) -> None:
    if not any(unicodedata.category(letter)[0] in "LNPSM" for letter in bare):
        raise Unreadable(
            f"Nothing readable was typed for the {what}.",
            instead=f"Type the {what} in letters, digits or both.",
        )
    for letter in bare:
        if is_hidden(letter):
            raise Unreadable(
                f"The {what} has a hidden character (U+{ord(letter):04X}) in it.",
                instead=f"Type the {what} by hand on one line instead of pasting it.",
            )


def split_words(line: str) -> list[str]:
    """
    Split a line into words as a shell does: quotes hold one together, # ends the line.

    It takes a time in proportion to the line, which `shlex` doesn't: a note of a
    million letters took it a minute.  Raises `Unreadable` for an open quotation mark.
    """
    words: list[list[str]] = [[]]
    begun = False
    at, end = 0, len(line)
    while at < end and (begun or line[at] != "#"):
        piece = _PIECE.match(line, at)
        if piece is None:
            raise Unreadable(
                "That line has an open quotation mark or apostrophe.",
                instead='it in double quotes, such as: note "it\'s raining"',
            )
        at = piece.end()
        if begun and piece["gap"]:
            words.append([])
        begun = not piece["gap"]
        if begun:
            words[-1].append(_unquoted(piece))
    return ["".join(pieces) for pieces in words if pieces]


def _unquoted(piece: re.Match[str]) -> str:
    """Take a piece of a word out of its quotes; a backslash keeps the next letter."""
    if piece["double"] is not None:
        return re.sub(r'\\(["\\])', r"\1", piece["double"])
    return str(piece[piece.lastgroup or 0])


def neutral_cell(value: object) -> str:
    """
    Write a value as a CSV cell that no spreadsheet takes for a formula.

    Text that begins with ``= + - @``, tab or line end (also after spaces, also in
    their wide forms) gets a leading apostrophe; numbers are left alone, and so is
    text that is nothing but a number.  Source: OWASP, CSV injection.
    """
    if value is None:
        return ""
    if not isinstance(value, str):
        return str(value)
    if re.fullmatch(_PLAIN_NUMBER, value):
        return value
    return f"'{value}" if value.lstrip(" \u00a0").startswith(_TRIGGERS) else value


def slug(text: str) -> str:
    """
    Make a code out of words: lower case, hyphens for gaps, dots only in numbers.

    Letters of every script are kept; "4 1/2 in Navy" gives "4.5-in-navy".  Words
    without a letter or digit (an emoji, say) give their code points.
    """
    composed = unicodedata.normalize("NFC", text.lower())
    decimal = re.sub(_MIXED, _as_decimal, composed)
    kept = "".join(_code_letter(letter) for letter in decimal)
    code = re.sub(r"-+", "-", re.sub(_LOOSE_DOT, "-", kept)).strip("-")
    return code or "-".join(f"u{ord(letter):x}" for letter in text.strip())


def _as_decimal(found: re.Match[str]) -> str:
    top, bottom = int(found[2]), int(found[3])
    if top >= bottom:
        return found[0]
    return f"{float(int(found[1] or 0) + Fraction(top, bottom)):.10g}"


def _code_letter(letter: str) -> str:
    kept = letter == "." or unicodedata.category(letter)[0] in "LMN"
    return letter if kept and letter != "\ufe0f" else "-"
