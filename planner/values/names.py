"""
Finding what she means by a few letters, without ever guessing silently.

A query is tried as the exact code, the exact words, whole words, and beginnings of
words, in that order; the first of these that fits anything decides, and when it fits
more than one thing she is asked.  Lengths count as one word however they are written,
so ``4in`` finds "4 in" and never "4 1/2 in".
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from planner.errors import Ambiguous, Refusal, Unknown
from planner.values.text import check_typed, quoted
from planner.values.units import parse_length

MOST_CHOICES: Final = 8

_VULGAR = "\u00bc-\u00be\u2150-\u215e"
_LENGTH = (
    r"(?<![\w.,/])(?<![0-9]-)"
    r"(?P<number>(?:[0-9]{1,5}[ -])?[0-9]{1,3}/[0-9]{1,3}"
    rf"|[0-9]{{0,5}} ?[{_VULGAR}]|[0-9]{{1,5}}(?:[.,][0-9]{{1,4}})?)"
    r"(?: ?(?P<unit>inch(?:es)?|in|yds?|yards?|ft|mm|cm|m|\"|\u2033|\u201d)(?!\w)\.?)?"
)
_SHORT_CODE = r"[A-Z][0-9]+"
_DIGIT = f"[0-9{_VULGAR}]"
_BREAK = r"[\s\-_/,.;:()&+]+"
_MARK = "\u00a7"
_BARE = "#"
_HIDE = str.maketrans({"/": "\u00f7", " ": "~", "-": "~", ".": "\u00b7", ",": "\u00b7"})
_SHOW = str.maketrans({"\u00f7": "/", "~": " ", "\u00b7": "."})
_BARE_UNITS: Final = ("in", "mm", "cm", "yd", "m")


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something that can be named: its short `code` and the words said for it."""

    code: str
    words: str


def find(
    query: str, candidates: Iterable[Candidate], *, what: str, hint: str = ""
) -> str:
    """
    Give the code of the one candidate that `query` names.

    `what` says what is looked for ("kind", "spool"); `hint` what to type when there
    is none at all.  Raises `Ambiguous` with up to eight choices when several fit,
    `Unknown` with near misses when none does, `Unreadable` for junk.
    """
    instead = hint or f"Type the code or the words of a {what}."
    bare = check_typed(query, what=f"a {what}", longest=200, instead=instead)
    known = tuple(candidates)
    fitting = _fitting(bare, known)
    if not fitting:
        raise _unknown(bare, known, what=what, instead=instead)
    if len(fitting) > 1:
        raise _several(bare, fitting, what=what)
    return fitting[0].code


def _fitting(query: str, known: Sequence[Candidate]) -> list[Candidate]:
    folded = query.casefold()
    by_code = [one for one in known if one.code.casefold() == folded]
    if by_code:
        return _distinct(by_code)
    wanted = sorted(words_of(query), key=len, reverse=True)
    return _by_words(wanted, _sieved(wanted, known)) if wanted else []


def _sieved(wanted: Sequence[str], known: Sequence[Candidate]) -> list[Candidate]:
    # A word of letters alone must stand somewhere as typed: cheap, and few are left.
    letters = [word for word in wanted if word.isalpha()]
    if not letters:
        return list(known)
    kept = []
    for one in known:
        text = f"{one.words} {one.code}".casefold()
        if all(word in text for word in letters):
            kept.append(one)
    return kept


def _by_words(wanted: Sequence[str], known: Sequence[Candidate]) -> list[Candidate]:
    split = [(one, words_of(one.words)) for one in known]
    alike = [pair for pair in split if len(pair[1]) == len(wanted)]
    exact = [one for one, words in alike if _covers(wanted, words, _is_word)]
    if exact:
        return _distinct(exact)
    for fits in (_is_word, _begins):
        found = [
            one
            for one, words in split
            if _covers(wanted, words, fits) or _covers(wanted, words_of(one.code), fits)
        ]
        if found:
            return _distinct(found)
    return []


def _distinct(found: Iterable[Candidate]) -> list[Candidate]:
    return list({one.code: one for one in found}.values())


def words_of(text: str) -> tuple[str, ...]:
    """
    Split a name into words to compare, each length as one word.

    A length is a mark and its nanometres; a number without its unit stands for itself.
    """
    return _split(text.casefold())


@lru_cache(maxsize=8_192)
def _split(folded: str) -> tuple[str, ...]:
    if re.search(_DIGIT, folded):
        folded = re.sub(_LENGTH, _length_word, folded)
    return tuple(word for word in re.split(_BREAK, folded) if word)


def _length_word(found: re.Match[str]) -> str:
    number, unit = found["number"].strip(), found["unit"]
    if unit:
        return f" {_as_word(number, unit)} "
    return found[0] if number.isdecimal() else f" {_BARE}{number.translate(_HIDE)} "


@lru_cache(maxsize=1_024)
def _as_word(number: str, unit: str) -> str:
    try:
        return f"{_MARK}{parse_length(f'{number} {unit}')}"
    except Refusal:
        return f"{number}{unit}"


def _is_word(wanted: str, word: str) -> bool:
    if wanted == word:
        return True
    if not word.startswith(_MARK):
        return False
    return (wanted[0] == _BARE or wanted.isdecimal()) and word in _bare(wanted)


@lru_cache(maxsize=1_024)
def _bare(word: str) -> frozenset[str]:
    number = word.removeprefix(_BARE).translate(_SHOW)
    return frozenset(_as_word(number, unit) for unit in _BARE_UNITS)


def _begins(wanted: str, word: str) -> bool:
    if _is_word(wanted, word):
        return True
    # "S1" is no beginning of "S12": half a number is another number.
    if word.startswith(_MARK) or not word.startswith(wanted):
        return False
    return not (wanted[-1].isdecimal() and word[len(wanted)].isdecimal())


def _covers(
    wanted: Sequence[str], words: Sequence[str], fits: Callable[[str, str], bool]
) -> bool:
    if len(wanted) > len(words):
        return False
    left = list(words)
    for want in wanted:
        hit = next((word for word in left if fits(want, word)), None)
        if hit is None:
            return False
        left.remove(hit)
    return True


def _several(query: str, fitting: Sequence[Candidate], *, what: str) -> Ambiguous:
    return Ambiguous(
        f"{quoted(query)} fits {len(fitting)} of the {what}s.",
        instead=_choices(fitting),
    )


def _choices(fitting: Sequence[Candidate]) -> str:
    shown = _shown(fitting[:MOST_CHOICES])
    more = len(fitting) - len(shown)
    rest = f" … and {more} more" if more else ""
    return f"Type one of: {', '.join(shown)}{rest}."


def _shown(some: Sequence[Candidate]) -> list[str]:
    """Name things as she does; with a code only where that is hers or tells apart."""
    alike = Counter(one.words.casefold() for one in some)
    return [_name(one, alike[one.words.casefold()] > 1) for one in some]


def _name(one: Candidate, alike: bool) -> str:
    if not one.words or one.words.casefold() == one.code.casefold():
        return one.code
    if alike or re.fullmatch(_SHORT_CODE, one.code):
        return f"{one.code} ({one.words})"
    return one.words


def _unknown(
    query: str, known: Sequence[Candidate], *, what: str, instead: str
) -> Unknown:
    if not known:
        return Unknown(f"There is no {what} yet.", instead=instead)
    near = _near_misses(query, known)
    if near:
        instead = f"Did you mean {' or '.join(_shown(near))}?"
    elif len(known) <= MOST_CHOICES:
        instead = _choices(_distinct(known))
    return Unknown(f"There is no {what} {quoted(query)}.", instead=instead)


def _near_misses(query: str, known: Sequence[Candidate]) -> list[Candidate]:
    # Near words first: a catalogue has few different words, so this stays quick.
    vocabulary = sorted({word for one in known for word in words_of(one.words)})
    mended = [_mend(word, vocabulary) for word in words_of(query)]
    found = [one for one in known if _covers(mended, words_of(one.words), _begins)]
    if mended and found:
        return _distinct(found)[:3]
    return _near_names(query, known)


def _mend(word: str, vocabulary: Sequence[str]) -> str:
    import difflib

    if word.startswith(_MARK) or any(_begins(word, one) for one in vocabulary):
        return word
    near = difflib.get_close_matches(word, vocabulary, n=1)
    return near[0] if near else word


def _near_names(query: str, known: Sequence[Candidate]) -> list[Candidate]:
    import difflib

    named = {name.casefold(): one for one in known for name in (one.words, one.code)}
    near = difflib.get_close_matches(query.casefold(), named, n=3)
    return _distinct(named[name] for name in near)
