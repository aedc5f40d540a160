"""Where ribbon went, drawn as bands from ribbons to accounts: pure geometry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.views.pictures import ACCOUNT_WEAVES, WIDTH, Weave
from planner.views.stories import RibbonLoss

MARGIN = 190.0
"""Room for the names on either side."""
BAR = 14.0
PITCH = 26.0
"""Least distance between two nodes, so that their names don't touch."""
GAP = 8.0
TALL = 360.0
"""Height that the whole length takes, gaps left out."""
MOST = 8
"""Ribbons drawn one by one; the rest together."""
LETTERS = 24


@dataclass(frozen=True, slots=True)
class Node:
    """A ribbon on the left, or an account on the right."""

    key: str
    label: str
    length_nm: int
    x: float
    y: float
    height: float
    weave: Weave
    text_y: float
    hex: str = ""
    """The ribbon's colour; empty for an account."""


@dataclass(frozen=True, slots=True)
class Band:
    """What went from a ribbon to an account; `path` is closed."""

    source: str
    target: str
    length_nm: int
    width: float
    path: str
    weave: Weave


@dataclass(frozen=True, slots=True)
class FlowPicture:
    """The whole picture."""

    width: float
    height: float
    bar: float
    ribbons: tuple[Node, ...]
    accounts: tuple[Node, ...]
    bands: tuple[Band, ...]


_Flows = dict[tuple[str, str], int]


def flow_picture(ribbons: Sequence[RibbonLoss]) -> FlowPicture:
    """
    Draw the lengths of ribbons to their accounts, each as wide as it is long.

    Accounts below nothing (entries are missing) have no band: the table tells them.
    """
    flows, names, colours = _flows(ribbons)
    sources = list(dict.fromkeys(source for source, _ in flows))
    targets = [a for a in ACCOUNT_WEAVES if any(t == a for _, t in flows)]
    total = sum(flows.values()) or 1
    scale = TALL / total
    left = _nodes(
        [(s, names[s], sum(n for (a, _), n in flows.items() if a == s))
         for s in sources], MARGIN - BAR, scale, colours,
    )  # fmt: skip
    right = _nodes(
        [(t, t, sum(n for (_, b), n in flows.items() if b == t)) for t in targets],
        WIDTH - MARGIN, scale, {},
    )  # fmt: skip
    height = max([n.y + max(n.height, PITCH) for n in (*left, *right)] or [0.0])
    return FlowPicture(
        WIDTH, round(height + GAP, 2), BAR, left, right,
        tuple(_bands(flows, left, right, scale)),
    )  # fmt: skip


def _flows(
    ribbons: Sequence[RibbonLoss],
) -> tuple[_Flows, dict[str, str], dict[str, str]]:
    """Give lengths by (ribbon, account), names and colours; small ones together."""
    flows: _Flows = {}
    names: dict[str, str] = {}
    colours: dict[str, str] = {}
    for at, one in enumerate(ribbons):
        own = at < MOST or len(ribbons) == MOST + 1
        key = f"r{at}" if own else "rest"
        names[key] = _cut(one.ribbon) if own else f"{len(ribbons) - MOST} others"
        colours[key] = one.swatch.hex if own else ""
        for line in one.accounts:
            if line.length_nm > 0:
                found = flows.get((key, line.account), 0)
                flows[key, line.account] = found + line.length_nm
    return flows, names, colours


def _cut(name: str) -> str:
    return name if len(name) <= LETTERS else f"{name[: LETTERS - 1]}…"


def _nodes(
    told: Sequence[tuple[str, str, int]], x: float, scale: float,
    colours: dict[str, str],
) -> tuple[Node, ...]:  # fmt: skip
    made, y = [], GAP
    for key, label, nm in told:
        height = max(nm * scale, 0.75)
        weave = ACCOUNT_WEAVES.get(key, ACCOUNT_WEAVES["several"])
        made.append(Node(
            key, label, nm, x, round(y, 2), round(height, 2), weave,
            round(y + max(height / 2, 8.0) + 4.5, 2), colours.get(key, ""),
        ))  # fmt: skip
        y += max(height + GAP, PITCH)
    return tuple(made)


def _bands(
    flows: _Flows, left: Sequence[Node], right: Sequence[Node], scale: float
) -> list[Band]:
    begins = {node.key: node.y for node in left}
    ends = {node.key: node.y for node in right}
    made = []
    for source in begins:
        for target in ends:
            nm = flows.get((source, target), 0)
            if not nm:
                continue
            width = nm * scale
            path = _path(begins[source], ends[target], max(width, 0.75))
            begins[source] += width
            ends[target] += width
            made.append(Band(
                source, target, nm, round(width, 3), path, ACCOUNT_WEAVES[target]
            ))  # fmt: skip
    return made


def _path(y1: float, y2: float, width: float) -> str:
    """Give a band from the left bars to the right ones, bent in the middle."""
    x1, x2 = MARGIN, WIDTH - MARGIN
    mid = (x1 + x2) / 2

    def bend(a: float, ya: float, b: float, yb: float) -> str:
        return f"C{mid:g},{ya:.2f} {mid:g},{yb:.2f} {b:g},{yb:.2f}"

    return (
        f"M{x1:g},{y1:.2f}{bend(x1, y1, x2, y2)}V{y2 + width:.2f}"
        f"{bend(x2, y2 + width, x1, y1 + width)}Z"
    )
