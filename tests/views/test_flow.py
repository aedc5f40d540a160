"""The picture of flows: every band is as wide as its length, nothing overlaps."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from planner.views.common import swatch
from planner.views.flow import GAP, MARGIN, MOST, PITCH, TALL, flow_picture
from planner.views.pictures import WIDTH, room
from planner.views.stories import AccountSum, RibbonLoss
from planner.views.story import Account

YARD = 914_400_000


def ribbon(number: int, **accounts: int) -> RibbonLoss:
    """A ribbon with so many yards in each account."""
    names: dict[str, Account] = {"gone": "not yet explained", "left": "left",
                                 "bows": "bows", "scrapped": "scrapped"}  # fmt: skip
    sums = tuple(
        AccountSum(account=names[name], length_nm=yards * YARD, length=f"{yards} yd")
        for name, yards in accounts.items()
    )
    opening = sum(line.length_nm for line in sums)
    return RibbonLoss(
        ribbon=f"Navy of the {number}th dye bath 1 1/2 in", spools=(f"S{number}",),
        swatch=swatch(name="Navy", hex="#102040", family="navy"), opening_nm=opening,
        opening="", used_nm=opening, used="", lost_nm=0, lost="", lost_share=0.0,
        lost_share_shown="", accounts=sums, worst="",
    )  # fmt: skip


FEW = (ribbon(1, bows=80, left=15, gone=5), ribbon(2, bows=40, scrapped=10, gone=-3))
MANY = tuple(ribbon(n, bows=20 + n, left=3, scrapped=1, gone=n % 3) for n in range(20))


@pytest.mark.parametrize("ribbons", [FEW, MANY], ids=["few", "many"])
def test_bands_sum_to_their_nodes_and_the_whole_to_the_height(
    ribbons: tuple[RibbonLoss, ...],
) -> None:
    picture = flow_picture(ribbons)
    kept = sum(x.length_nm for r in ribbons for x in r.accounts if x.length_nm > 0)

    assert sum(b.length_nm for b in picture.bands) == kept
    assert sum(b.width for b in picture.bands) == pytest.approx(TALL, abs=0.1)
    for side, end in ((picture.ribbons, "source"), (picture.accounts, "target")):
        for node in side:
            bands = [b for b in picture.bands if getattr(b, end) == node.key]
            assert sum(b.length_nm for b in bands) == node.length_nm
            assert max(sum(b.width for b in bands), 0.75) == pytest.approx(
                node.height, abs=0.02
            )


@pytest.mark.parametrize("ribbons", [FEW, MANY], ids=["few", "many"])
def test_nodes_keep_apart_and_names_fit_beside_them(
    ribbons: tuple[RibbonLoss, ...],
) -> None:
    picture = flow_picture(ribbons)
    for side in (picture.ribbons, picture.accounts):
        for above, below in pairwise(side):
            assert above.y + above.height + GAP <= below.y + 0.02
            assert below.text_y - above.text_y >= min(PITCH, 16)
        assert all(node.y + node.height <= picture.height for node in side)
    assert all(room(node.label) <= MARGIN - 10 for node in picture.ribbons)
    assert all(room(node.label) <= MARGIN - 10 for node in picture.accounts)


def test_an_account_below_nothing_has_no_band() -> None:
    picture = flow_picture(FEW)

    assert [(b.source, b.target) for b in picture.bands] == [
        ("r0", "left"), ("r0", "bows"), ("r0", "not yet explained"),
        ("r1", "bows"), ("r1", "scrapped"),
    ]  # fmt: skip


def test_ribbons_beyond_the_first_few_are_drawn_together() -> None:
    picture = flow_picture(MANY)

    assert len(picture.ribbons) == MOST + 1
    assert picture.ribbons[-1].label == f"{len(MANY) - MOST} others"
    assert len(flow_picture(MANY[: MOST + 1]).ribbons) == MOST + 1


def test_each_band_begins_at_a_ribbon_and_ends_at_an_account() -> None:
    for band in flow_picture(MANY).bands:
        numbers = [float(x) for x in re.findall(r"-?\d+\.?\d*", band.path)]
        assert numbers[0] == MARGIN
        assert WIDTH - MARGIN in numbers
        assert band.path.endswith("Z")


def test_nothing_cut_draws_nothing() -> None:
    assert flow_picture(()).bands == ()
