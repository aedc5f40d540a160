"""What goes in and out of files, against the standards that describe it."""

import csv
import io
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from planner.values.days import day_of, instant
from planner.values.money import MINOR_DIGITS, format_amount, minor_digits
from planner.values.text import neutral_cell

OSLO = ZoneInfo("Europe/Oslo")


@pytest.mark.parametrize(
    ("digits", "codes"),
    [
        (
            0,
            "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
        ),
        (3, "BHD IQD JOD KWD LYD OMR TND"),
        (4, "CLF UYW"),
        (2, "USD EUR GBP CAD AUD CHF SEK NOK DKK INR MXN MGA MRU HUF"),
    ],
)
def test_minor_digits_are_those_of_iso_4217(digits, codes):
    """Source: ISO 4217 list one (JPY 0, USD 2, BHD 3 read; the rest from memory)."""
    assert {minor_digits(code) for code in codes.split()} == {digits}


def test_no_other_currency_has_other_digits_than_two():
    """Source: ISO 4217 list one (from memory): 17 without, seven with 3, two with 4."""
    counts = [list(MINOR_DIGITS.values()).count(digits) for digits in (0, 1, 3, 4)]

    assert counts == [17, 0, 7, 2]
    assert all(len(code) == 3 and code.isupper() for code in MINOR_DIGITS)


def test_money_shows_as_many_digits_as_it_has():
    """One unit of each, source as above."""
    assert [format_amount(1, code) for code in ("JPY", "USD", "BHD", "CLF")] == [
        "¥1",
        "$0.01",
        "BHD 0.001",
        "CLF 0.0001",
    ]


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
        ("-2+3", "'-2+3"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t=1"),
        ("\r=1", "'\r=1"),
        ("\n=1", "'\n=1"),
        (" =1+1", "' =1+1"),
        ("＝1+1", "'＝1+1"),
        ("-", "'-"),
        ("-3.5", "-3.5"),
        ("+1", "+1"),
        (-3.5, "-3.5"),
        (-3, "-3"),
        (12, "12"),
        ("navy", "navy"),
        ("navy = dark", "navy = dark"),
        ("−$4.50", "−$4.50"),
        ("", ""),
        (None, ""),
    ],
)
def test_csv_cells_start_no_formula_and_numbers_stay(value, cell):
    """Source: OWASP, CSV injection: cells beginning with = + - @ tab CR LF."""
    assert neutral_cell(value) == cell


def test_a_neutral_cell_survives_a_csv_file():
    """Source: RFC 4180: quotes, commas and line ends inside a cell come back."""
    cells = [neutral_cell(text) for text in ('=A1,"x"', "two\nlines", "-3.5")]
    sheet = io.StringIO(newline="")
    csv.writer(sheet).writerow(cells)

    assert list(csv.reader(io.StringIO(sheet.getvalue(), newline=""))) == [cells]


@pytest.mark.parametrize(
    ("stamp", "utc"),
    [
        ("1985-04-12T23:20:50.52Z", datetime(1985, 4, 12, 23, 20, 50, 520_000, UTC)),
        ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, 0, UTC)),
        (
            "1937-01-01T12:00:27.87+00:20",
            datetime(1937, 1, 1, 11, 40, 27, 870_000, UTC),
        ),
    ],
)
def test_the_examples_of_rfc_3339_sort_by_their_moment(stamp, utc):
    """Source: RFC 3339, section 5.8 (its leap-second examples aside)."""
    away = utc - datetime(1970, 1, 1, tzinfo=UTC)

    assert instant(stamp, OSLO) == (away.days * 86_400 + away.seconds) * 10**6 + (
        away.microseconds
    )


def test_a_stamp_late_in_the_west_is_the_next_day_in_oslo():
    """16:39 at -08:00 on the 19th is 01:39 on the 20th in Oslo; RFC 3339's example."""
    assert day_of("1996-12-19T16:39:57-08:00", OSLO) == date(1996, 12, 20)
