"""
Planted shops: does over-cut's interval cover, are short spools and lost bundles found?

python tests/bench/bench_overcut.py [shops [spools ...]]
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engines.short_measure import measured
from planner.ledgers.timeline import UNEXPLAINED
from tests.engines.planted_shops import INCH, Planted, plant


def main(shops: int, sizes: Sequence[int]) -> None:
    """Print rates over so many shops, for few and many spools."""
    for spools in sizes:
        print(f"{shops} shops of {spools} spools", flush=True)
        planted = [plant(seed, spools=spools) for seed in range(shops)]
        _table(planted)
        _lost_bundles(planted)


def _table(planted: list[Planted]) -> None:
    hits: dict[str, list[bool]] = {}
    widths, apart, began = [], 0, process_time()
    for shop in planted:
        found = shop.found
        if found.mean is None:
            continue
        for role, e in found.parts.items():
            hits.setdefault(role, []).append(e.low <= shop.over[role] <= e.high)
        total = sum(found.counts.values())
        true = sum(n * shop.over[role] for role, n in found.counts.items()) / total
        hits.setdefault("mean", []).append(found.mean.low <= true <= found.mean.high)
        widths.append((found.mean.high - found.mean.low) / 2 / INCH)
        apart += found.apart
    took = (process_time() - began) / len(planted)
    for role, covered in sorted(hits.items()):
        share = sum(covered) / len(covered)
        print(f"  90 % interval of {role} covers {share:.1%} of {len(covered)}")
    widths.sort()
    print(f"  half width of the mean, median {widths[len(widths) // 2]:.3f} in; told "
          f"apart from the label in {apart}; {took * 1000:.0f} ms a shop")  # fmt: skip
    _shorts(planted)


def _shorts(planted: list[Planted]) -> None:
    short = found = fine = alarms = 0
    for shop in planted:
        for check in measured(shop.led).spools:
            if not check.sure:
                continue
            true = check.label - shop.came[check.spool] > check.tolerance
            short, found = short + true, found + (true and check.short)
            fine, alarms = fine + (not true), alarms + (not true and check.short)
    print(f"  short spools read before their first cut: {found} of {short} found, "
          f"{alarms} false alarms among {fine}")  # fmt: skip


def _lost_bundles(planted: list[Planted]) -> None:
    """Every shop has some bundles never entered: are they shown where they are?"""
    lost = shown = named = wrong = 0
    for shop in planted:
        bulk = {b.spool for b in shop.found.bulk}
        for spool, nm in shop.missing.items():
            last = list(shop.led.ribbon.items[spool].rows())[-1]
            if last.reading is None or nm < 60 * INCH:
                continue
            lost += 1
            shown += shop.led.ribbon.balance(spool)[UNEXPLAINED] > 0
            named += spool in bulk
        wrong += len(bulk - shop.missing.keys())
    print(f"  bundles of 60 in and more never entered, on spools read since: {lost}; "
          f"not yet explained on that spool {shown}, named {named}; other spools named "
          f"{wrong}", flush=True)  # fmt: skip


if __name__ == "__main__":
    told = [int(word) for word in sys.argv[1:]]
    main(told[0] if told else 200, told[1:] or (8, 24, 48))
