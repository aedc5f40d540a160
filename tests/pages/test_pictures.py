"""The pictures' geometry says what the tables say."""

from dataclasses import asdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.views.bench import (
    BENCH_ROW,
    BENCH_TOP,
    LANE_WIDTH,
    LANE_X,
    BenchPart,
    as_many_as_fit,
    bench_picture,
)
from planner.views.common import TEXTURES, texture
from planner.views.due import BenchDay, BenchSegment
from planner.views.pictures import (
    ACCOUNT_WEAVES,
    WIDTH,
    Weave,
    bookmark,
    hatching,
    order_weaves,
    ribbon,
    round_step,
)
from planner.views.story import StripPiece
from planner.views.strip import STRIP_MARGIN, Block, blocks, strip_picture

YARD = 914_400_000
INCH = 25_400_000
ROOM = WIDTH - 2 * STRIP_MARGIN


def piece(nm, account="bows", **more):
    """Give a piece of a spool that only its length tells from another."""
    return StripPiece(account=account, label="x", length_nm=nm, length="x", **more)


def test_a_ribbon_has_its_ends_cut_in_a_notch():
    """Both ends lose a triangle half as deep as the ribbon is wide."""
    assert ribbon(44, 16) == "M0,0L44,0L36,8L44,16L0,16L8,8Z"


def test_a_bookmark_is_notched_at_its_lower_end_only():
    """The point of the notch lies above the lower corners."""
    assert bookmark(24, 60) == "M0,0L24,0L24,60L12,50L0,60Z"


@pytest.mark.parametrize(
    ("colour", "ink"),
    [("#ffffff", "dark"), ("#000000", "light"), ("#1f2d4d", "light"),
     ("#ffff00", "dark"), ("#777777", "dark"), ("#737373", "light")],
)  # fmt: skip
def test_the_hatching_takes_the_ink_that_shows_better(colour, ink):
    """
    Black and white tie at luminance 0.1791, that is between #757575 and #767676.

    sqrt(1.05 * 0.05) - 0.05 = 0.17913; #767676 has 4.542 on white, 4.623 on black.
    """
    assert hatching(colour) == ink


def test_neighbouring_families_have_different_weaves():
    """Red, pink and orange can be told apart without their colour; so can the dark."""
    warm = {texture(family) for family in ("red", "pink", "orange", "yellow")}
    dark = {texture(family) for family in ("navy", "black", "green", "brown")}

    assert (len(warm), len(dark)) == (4, 4)


@given(st.text(max_size=12))
def test_a_family_of_her_own_always_has_the_same_weave(family):
    """Whatever she calls a family, it has a texture, and the same one next time."""
    assert texture(family) == texture(family)
    assert texture(family) in TEXTURES


def test_the_first_28_orders_all_look_different():
    """Four tones and seven textures have no common divisor."""
    weaves = order_weaves(f"O-{n}" for n in range(28))

    assert len(set(weaves.values())) == 28


def test_nothing_planned_has_no_weave():
    """A free stretch is drawn as the bare lane."""
    assert order_weaves(["free", "O-1"]) == {"O-1": Weave("indigo", "slant")}


@pytest.mark.parametrize(
    ("units", "step"), [(0, 1), (0.2, 1), (7, 8), (25, 25), (25.1, 30), (123, 200)]
)
def test_rows_are_round_numbers_of_units(units, step):
    """The step is the next round number, never a smaller one."""
    assert round_step(units) == step


def test_narrow_neighbours_are_drawn_as_one_and_say_which_they_are():
    """Long pieces stand alone; short ones gather until they can be seen."""
    pieces = [
        piece(8 * YARD),
        piece(9 * INCH),
        piece(9 * INCH, "scrapped"),
        piece(9 * INCH),
        piece(9 * INCH, join_after=True),
        piece(YARD),
        piece(3 * INCH, "ends"),
    ]

    drawn = blocks(pieces, least_nm=18 * INCH)

    assert drawn == (
        Block(1, 1, "bows", 0, 8 * YARD),
        Block(2, 3, "several", 8 * YARD, 18 * INCH),
        Block(4, 5, "bows", 8 * YARD + 18 * INCH, 18 * INCH, joined=True),
        Block(6, 6, "bows", 9 * YARD, YARD),
        Block(7, 7, "ends", 10 * YARD, 3 * INCH),
    )
    assert [block.label for block in drawn] == ["1", "2–3", "4–5", "6", "7"]


def test_a_piece_goes_on_in_the_next_row_where_the_row_ends():
    """100 yd fold into 4 rows of 25 yd; a 30-yd piece reaches into the second."""
    picture = strip_picture(
        [piece(30 * YARD), piece(70 * YARD, "left")], unit="yd", unit_nm=YARD
    )
    first, second, *rest = picture.rows

    assert [tuple(map(asdict, row.parts)) for row in (first, second)] == [
        (
            {
                "x": 8.0,
                "width": 704.0,
                "weave": asdict(ACCOUNT_WEAVES["bows"]),
                "label": "1",
                "begins": True,
                "ends": False,
                "joined": False,
            },
        ),
        (
            {
                "x": 8.0,
                "width": 140.8,
                "weave": asdict(ACCOUNT_WEAVES["bows"]),
                "label": "",
                "begins": False,
                "ends": True,
                "joined": False,
            },
            {
                "x": 148.8,
                "width": 563.2,
                "weave": asdict(ACCOUNT_WEAVES["left"]),
                "label": "",
                "begins": True,
                "ends": False,
                "joined": False,
            },
        ),
    ]
    assert [tick.label for tick in second.ticks] == [
        "25 yd", "30", "35", "40", "45", "50",
    ]  # fmt: skip
    assert len(rest) == 2


@given(
    st.lists(
        st.builds(
            piece,
            st.integers(0, 40 * YARD),
            st.sampled_from(["bows", "left", "scrapped"]),
        ),
        min_size=1,
        max_size=60,
    )
)
def test_the_strip_draws_every_inch_once_and_in_order(pieces):
    """However it is folded, the parts' widths add up to the spool's length."""
    picture = strip_picture(pieces, unit="yd", unit_nm=YARD)
    total = sum(each.length_nm for each in pieces)
    parts = [part for row in picture.rows for part in row.parts]
    row_nm = YARD * round_step(total / YARD / 4)

    assert sum(part.width for part in parts) == pytest.approx(
        total / row_nm * ROOM, abs=0.01 * len(parts) + 0.01
    )
    for row in picture.rows:
        assert [part.x for part in row.parts] == sorted(part.x for part in row.parts)
        assert all(
            part.x >= STRIP_MARGIN
            and part.x + part.width <= WIDTH - STRIP_MARGIN + 0.02
            for part in row.parts
        )


def test_a_strip_of_nothing_is_still_a_picture():
    """A spool nothing is known of gives one empty row."""
    assert strip_picture([], unit="yd", unit_nm=YARD).rows[0].parts == ()


def bench_day(planned, *segments, **more):
    """Give a bench day that only its hours tell from another."""
    fields = {"day_on": "2026-11-30", "day": "Mon 30 Nov", "planned": "", "used": ""}
    return BenchDay(
        **(fields | more),
        planned_minutes=planned,
        used_minutes=sum(part.minutes for part in segments),
        segments=segments,
    )


def test_all_lanes_share_one_scale_of_minutes():
    """The longest day fills the lane; half of it takes half of the lane."""
    stretch = BenchSegment(order="O-1", label="x", start_minute=30, minutes=60)
    picture = bench_picture([bench_day(240), bench_day(120, stretch, due=("O-1",))])

    assert [row.planned for row in picture.rows] == [LANE_WIDTH, LANE_WIDTH / 2]
    assert picture.rows[1].parts == (
        BenchPart(
            x=LANE_X + LANE_WIDTH / 8,
            width=LANE_WIDTH / 4,
            weave=Weave("indigo", "slant"),
            label="O-1",
            late=False,
        ),
    )
    assert [row.week for row in picture.rows] == [False, True]
    assert [row.y for row in picture.rows] == [BENCH_TOP, BENCH_TOP + BENCH_ROW]
    assert [tick.label for tick in picture.ticks] == ["0 h", "1 h", "2 h", "3 h", "4 h"]


def test_work_beyond_the_days_hours_still_fits_the_picture():
    """A day overrun by its work stretches the scale instead of being cut off."""
    stretch = BenchSegment(order="O-1", label="x", start_minute=0, minutes=200)
    (row,) = bench_picture([bench_day(100, stretch)]).rows

    assert (row.parts[0].width, row.planned) == (LANE_WIDTH, LANE_WIDTH / 2)


def test_a_label_that_does_not_fit_is_left_to_the_table():
    """Four minutes of a long day hold no letter."""
    stretch = BenchSegment(order="O-1", label="x", start_minute=0, minutes=4)

    assert bench_picture([bench_day(480, stretch)]).rows[0].parts[0].label == ""


def test_as_many_due_codes_are_listed_as_fit():
    """What is left out is counted, so that none goes unseen."""
    codes = ("O-1", "O-2", "O-3", "O-4")

    assert [as_many_as_fit(codes, width=width) for width in (400, 100, 10)] == [
        "O-1, O-2, O-3, O-4",
        "O-1, O-2 +2",
        "4 due",
    ]
    assert as_many_as_fit((), width=100) == ""
