"""Words: what goes in is clean, what goes out to a sheet is harmless."""

import shlex

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Absurd, Unreadable
from planner.values.text import clean, neutral_cell, quoted, slug, split_words

from .helpers import helps_or, outcome


def test_words_are_stripped_and_composed():
    """A decomposed accent becomes one letter; emoji and Hebrew stay."""
    assert clean("  cre\u0301me ", what="colour") == "créme"
    assert clean("🎀 girl 👩‍🎨", what="note") == "🎀 girl 👩‍🎨"
    assert clean("כחול", what="colour") == "כחול"


@pytest.mark.parametrize(
    "typed",
    [
        "", "  ", "a\x00b", "a\x1bb", "a\tb", "a\nb", "a\x7fb", "a\u202eb",
        "a\u2066b", "a\u2028b", "a\ud800b", "a\u200bb", "\ufeffa", "\u200d",
    ],
)  # fmt: skip
def test_hidden_and_turning_characters_are_refused(typed):
    """What can't be seen can't be kept as a name."""
    with pytest.raises(Unreadable) as refusal:
        clean(typed, what="colour")

    assert refusal.value.instead


def test_too_long_words_name_the_limit():
    """The limit stands in the refusal, and 10 MB are refused at once."""
    with pytest.raises(Absurd, match="at most 20 fit"):
        clean("x" * 21, what="colour", longest=20)
    with pytest.raises(Absurd, match="10,000,000 characters"):
        clean("x" * 10_000_000, what="note")


def test_what_she_typed_is_quoted_short_and_visible():
    """A message never carries a control character or a page of junk."""
    assert quoted("a\x1b[2J\u202e") == '"a\\u001b[2J\\u202e"'
    assert quoted("x" * 100) == f'"{"x" * 40}…"'


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("Navy", "navy"),
        ("Hot  Pink!", "hot-pink"),
        ("4 1/2 in Navy", "4.5-in-navy"),
        ("4.5 in navy", "4.5-in-navy"),
        ("7/8 in", "0.875-in"),
        ("No. 9", "no-9"),
        ("Élan bleu", "élan-bleu"),
        ("כחול כהה", "כחול-כהה"),
        ("a__b--c", "a-b-c"),
        ("order 12/5", "order-12-5"),
        ("🎀", "u1f380"),
    ],
)
def test_codes_are_lower_case_words_with_hyphens(words, code):
    """Letters of every script stay, and dots stay in numbers."""
    assert slug(words) == code


@settings(deadline=None)
@given(text=st.text(max_size=30))
def test_a_cleaned_name_always_has_a_settled_code(text):
    """A slug is never empty, and taking it again changes nothing."""
    found = outcome(lambda typed: clean(typed, what="colour"), text)

    assert helps_or(found, _is_settled)


def _is_settled(name):
    code = slug(name)
    return bool(code) and slug(code) == code and " " not in code


@settings(deadline=None)
@given(text=st.text(max_size=20))
def test_no_text_cell_starts_a_formula(text):
    """Whatever the text, no cell but a plain number begins with a trigger."""
    cell = neutral_cell(text)

    if cell[:1] and cell[0] in "=+-@\t\r\n":
        float(cell)


@given(st.text("ab \t\n'\"\\é#", max_size=12))
def test_a_line_falls_into_words_as_in_a_shell(line):
    """As the standard library splits it; it takes a # within a word for a remark."""
    try:
        told = shlex.split(line)
    except ValueError:
        told = None
    try:
        split = split_words(line.replace("#", "x"))
    except Unreadable:
        split = None

    assert split == (told and [word.replace("#", "x") for word in told])


def test_a_remark_begins_with_a_word_and_not_within_one():
    """A colour's value stays whole, and so does what stands in quotes."""
    assert split_words("colour sea#1 '#123456' # as the sample") == [
        "colour", "sea#1", "#123456",
    ]  # fmt: skip


@pytest.mark.parametrize("piece", ["a", "\\a", "''", "'a'", '"a"', " a", '\\"'])
def test_a_line_of_a_megabyte_is_split_in_a_moment(piece):
    """However many pieces it falls into (it would take minutes else)."""
    line = piece * (1_000_000 // len(piece))

    assert "".join(split_words(line)).strip('a"') == ""
