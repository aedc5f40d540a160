"""The colour tokens of the pages are told apart, in light and in dark."""

import re

import pytest

from planner.pages import shipped

TEXT = 4.5
"""WCAG 2.2, 1.4.3: contrast of text."""
GRAPHIC = 3.0
"""WCAG 2.2, 1.4.11: contrast of what a picture needs to be read."""

INKS = ("ink", "soft", "madder", "indigo", "moss", "ochre")
TONES = ("tone-indigo", "tone-madder", "tone-moss", "tone-ochre", "tone-linen")

PAIRS = [
    *((ink, "paper", TEXT) for ink in INKS),
    ("thread", "paper", TEXT),  # the dots and noughts of a matrix are text
    *(("hatch", tone, GRAPHIC) for tone in TONES),
    *(("ink", tone, GRAPHIC) for tone in TONES),
    ("madder", "tone-linen", GRAPHIC),
]


def channel(byte):
    """Undo the gamma of one channel (IEC 61966-2-1)."""
    share = byte / 255
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def contrast(one, other):
    """Give the WCAG contrast ratio of two `#rrggbb` or `#rgb` colours."""
    lights = []
    for colour in (one, other):
        digits = colour.lstrip("#")
        if len(digits) == 3:
            digits = "".join(digit * 2 for digit in digits)
        red, green, blue = bytes.fromhex(digits)
        lights.append(
            0.2126 * channel(red) + 0.7152 * channel(green) + 0.0722 * channel(blue)
        )
    darker, lighter = sorted(lights)
    return (lighter + 0.05) / (darker + 0.05)


def tokens(text):
    """Read `--name: #hex` out of a piece of style sheet."""
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-fA-F]{3,6})\b", text))


def schemes():
    """Give the tokens of the light, dark and printed page."""
    text = (shipped("reports") / "tokens.css").read_text(encoding="utf-8")
    light, dark = text.split("@media screen and (prefers-color-scheme: dark)")
    paper = (shipped("reports") / "paper.css").read_text(encoding="utf-8")
    return {
        "light": tokens(light),
        "dark": tokens(light) | tokens(dark.split("@media")[0]),
        "print": tokens(light) | tokens(paper),
    }


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.542),
        ("#777777", "#ffffff", 4.478),
        ("#949494", "#ffffff", 3.033),
        ("#ff69b4", "#ffffff", 2.648),
        ("#ff69b4", "#000000", 7.932),
        ("#ffff00", "#ffffff", 1.074),
    ],
)
def test_the_ratio_used_here_gives_the_published_ratios(one, other, ratio):
    """Ratios for these pairs by the formula of WCAG 2.2, to three digits."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.0005)


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
@pytest.mark.parametrize(("front", "back", "least"), PAIRS)
def test_what_is_drawn_on_the_paper_can_be_told_from_it(scheme, front, back, least):
    """Text keeps 4.5 to 1 and graphics 3 to 1; nothing is rounded up."""
    named = schemes()[scheme]

    assert contrast(named[front], named[back]) >= least


def test_light_and_dark_name_the_same_tokens():
    """A token without its dark value would stay light on dark paper."""
    text = (shipped("reports") / "tokens.css").read_text(encoding="utf-8")
    light, dark, forced = re.split(r"@media[^{]+\{", text)

    names = [set(re.findall(r"--([\w-]+):", part)) for part in (light, dark, forced)]

    assert names[0] == names[1] == names[2]


def test_no_colour_hides_outside_the_tokens():
    """Every other style sheet names tokens; print alone resets a few."""
    folder = shipped("reports")
    sheets = {"sheet.css", "tables.css", "pictures.css"}

    strays = {
        name: tokens
        for name in sheets
        if (
            tokens := re.findall(
                r"#[0-9a-fA-F]{3,8}\b", (folder / name).read_text(encoding="utf-8")
            )
        )
    }

    assert strays == {}
