"""Names: found by a few letters, never guessed silently."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Ambiguous, Unknown, Unreadable
from planner.values.names import Candidate, find

KINDS = (
    Candidate("4-in-navy", "4 in navy"),
    Candidate("4-in-navy-white", "4 in navy white"),
    Candidate("4.5-in-navy", "4 1/2 in navy"),
    Candidate("3-in-hot-pink", "3 in hot pink"),
    Candidate("3-in-pale-pink", "3 in pale pink"),
    Candidate("3-in-red", "3 in red"),
)
SPOOLS = (
    Candidate("S12", "navy satin 7/8 in"),
    Candidate("S7", "red grosgrain 1 1/2 in"),
    Candidate("S70", "gold foil 38 mm"),
)


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("4-in-navy", "4-in-navy"),
        ("4-IN-Navy", "4-in-navy"),
        ("4in navy", "4-in-navy"),
        ("4 in navy", "4-in-navy"),
        ('4" navy', "4-in-navy"),
        ("navy 4in", "4-in-navy"),
        ("4 navy", "4-in-navy"),
        ("101.6mm navy", "4-in-navy"),
        ("4 1/2in navy", "4.5-in-navy"),
        ("4.5in navy", "4.5-in-navy"),
        ("4½ in nav", "4.5-in-navy"),
        ("4.5 navy", "4.5-in-navy"),
        ("navy white", "4-in-navy-white"),
        ("white", "4-in-navy-white"),
        ("hot", "3-in-hot-pink"),
        ("3in h p", "3-in-hot-pink"),
        ("red", "3-in-red"),
        ("4.5", "4.5-in-navy"),
    ],
)
def test_a_kind_is_found_by_code_words_or_beginnings(typed, code):
    """Exact words win over longer ones, and 4 in is never 4 1/2 in."""
    assert find(typed, KINDS, what="kind") == code


@pytest.mark.parametrize(
    ("typed", "code"),
    [("s7", "S7"), ("S12", "S12"), ("sat", "S12"), ("7/8", "S12"), ("foil", "S70")],
)
def test_a_spool_is_found_by_its_code_first(typed, code):
    """S7 is S7 though there is an S70."""
    assert find(typed, SPOOLS, what="spool") == code


def test_several_that_fit_are_listed_and_she_is_asked():
    """The choices are her own names, any of which finds what it names."""
    with pytest.raises(Ambiguous) as refusal:
        find("pink", KINDS, what="kind")

    assert str(refusal.value) == (
        '"pink" fits 2 of the kinds.\nType one of: 3 in hot pink, 3 in pale pink.'
    )


def test_a_code_is_shown_where_it_is_hers_or_tells_two_apart():
    """She knows her spools by S7; the codes of kinds are no words of hers."""
    alike = (Candidate("P1", "Maren Oak"), Candidate("P2", "Maren Oak"))
    twins = (Candidate("navy-1", "navy blue"), Candidate("navy-2", "Navy Blue"))

    for typed, known, choices in (
        ("gr", (*SPOOLS, Candidate("S8", "green")), "S7 (red grosgrain 1 1/2 in), "
         "S8 (green)"),
        ("maren", alike, "P1 (Maren Oak), P2 (Maren Oak)"),
        ("navy", twins, "navy-1 (navy blue), navy-2 (Navy Blue)"),
    ):  # fmt: skip
        with pytest.raises(Ambiguous) as refusal:
            find(typed, known, what="thing")
        assert refusal.value.instead == f"Type one of: {choices}."


def test_at_most_eight_choices_are_listed():
    """The rest is counted."""
    many = [Candidate(f"S{at}", f"navy lot {at}") for at in range(10, 30)]
    with pytest.raises(Ambiguous) as refusal:
        find("navy", many, what="spool")

    assert refusal.value.instead.count("navy lot") == 8
    assert refusal.value.instead.endswith("… and 12 more.")


def test_a_near_miss_is_offered_not_taken():
    """A slip of two letters gets a question."""
    with pytest.raises(Unknown) as refusal:
        find("4in nvay", KINDS, what="kind")

    assert refusal.value.what == 'There is no kind "4in nvay".'
    assert refusal.value.instead == "Did you mean 4 in navy or 4 in navy white?"


def test_half_a_number_is_another_number():
    """S1 is no short way to say S12."""
    with pytest.raises(Unknown) as refusal:
        find("S1", SPOOLS, what="spool")

    assert "S12" in refusal.value.instead


def test_a_size_that_does_not_exist_finds_nothing():
    """2 in navy is not the 2 of "4 1/2 in navy"."""
    candidates = (Candidate("41-2in-navy", "4 1/2 in navy"),)
    with pytest.raises(Unknown):
        find("2in navy", candidates, what="kind")
    with pytest.raises(Unknown):
        find("4in navy", candidates, what="kind")


def test_with_few_to_choose_from_all_are_named():
    """Nothing is near "S8", so the three spools are listed."""
    with pytest.raises(Unknown) as refusal:
        find("S8", SPOOLS, what="spool")

    assert refusal.value.instead.startswith("Type one of: S12 (navy satin 7/8 in), S7")


def test_with_nothing_to_find_the_hint_says_what_to_type():
    """An empty shelf is said to be empty."""
    with pytest.raises(Unknown) as refusal:
        find("S7", (), what="spool", hint='Type "bows restock in ..." first.')

    assert str(refusal.value) == (
        'There is no spool yet.\nType "bows restock in ..." first.'
    )


@pytest.mark.parametrize("typed", ["", "  ", "a\x00", "\u202enavy", "x" * 10_000_000])
def test_junk_is_refused(typed):
    """Nothing hidden is searched for."""
    with pytest.raises(Unreadable) as refusal:
        find(typed, KINDS, what="kind")

    assert refusal.value.instead


def test_the_same_thing_under_two_names_is_one():
    """A candidate may be given with several words."""
    twice = (Candidate("navy", "navy blue"), Candidate("navy", "navy dark"))

    assert find("nav", twice, what="colour") == "navy"


words = st.lists(
    st.sampled_from(["navy", "white", "red", "hot", "pink", "pale", "gold", "foil"]),
    min_size=1,
    max_size=3,
    unique=True,
)


@settings(deadline=None)
@given(
    names=st.lists(words, min_size=1, max_size=12, unique_by=lambda w: tuple(sorted(w)))
)
def test_exact_words_always_find_their_own(names):
    """Whatever else there is, saying all the words finds exactly that one."""
    candidates = [
        Candidate(f"C{at}", " ".join(name)) for at, name in enumerate(names, start=1)
    ]

    for one in candidates:
        assert find(one.words, candidates, what="kind") == one.code
        assert find(one.code.lower(), candidates, what="kind") == one.code


def test_one_of_a_thousand_kinds_is_found():
    many = [
        Candidate(f"{size}-in-{at}", f"{size} in shade{at:03d}")
        for size in range(1, 11)
        for at in range(100)
    ]

    assert find("4in shade042", many, what="kind") == "4-in-42"
