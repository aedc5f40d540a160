"""The catalogue as it stands: colours, ribbons, supplies, patterns, kinds, prices."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from planner.errors import Unknown
from planner.ledgers.bows import UNNOTICED
from planner.ledgers.state import Kept, Ledgers
from planner.values.units import format_length


class Colour(NamedTuple):
    """A colour by her own name, with a hex value and a family."""

    code: str
    name: str
    hex: str
    family: str


class Ribbon(NamedTuple):
    """A kind of ribbon; `width` in nm."""

    code: str
    colour: str
    width: int
    material: str
    finish: str


class Supply(NamedTuple):
    """A supply; one unit serves `yields` bows."""

    code: str
    name: str
    yields: int


class Pattern(NamedTuple):
    """
    One revision of how a bow is made.

    `parts` are (role, length nm, count), `supplies` (supply, count), `steps` (name,
    seconds, optional); `set_up` and `setting` are minutes.
    """

    code: str
    revision: int
    name: str
    size: int
    width: int
    parts: tuple[tuple[str, int, int], ...]
    supplies: tuple[tuple[str, int], ...]
    steps: tuple[tuple[str, int, bool], ...]
    set_up: int
    setting: int

    @property
    def seconds(self) -> int:
        """Stated seconds at the bench for one bow, optional steps left out."""
        return sum(seconds for _, seconds, optional in self.steps if not optional)

    @property
    def ribbon(self) -> int:
        """Ribbon one bow is cut from, nm."""
        return sum(length * count for _, length, count in self.parts)


class Colourway(NamedTuple):
    """Which ribbon each role takes; ``*`` stands for the roles not named."""

    code: str
    name: str
    lead: str
    ribbons: tuple[tuple[str, str], ...]

    def ribbon_for(self, role: str) -> str:
        """Give the ribbon a role takes."""
        for own, ribbon in self.ribbons:
            if own == role:
                return ribbon
        for own, ribbon in self.ribbons:
            if own == "*":
                return ribbon
        return self.ribbons[0][1]


class SetUnit(NamedTuple):
    """A selling unit of several bows."""

    code: str
    name: str
    kinds: tuple[tuple[str, int], ...]


class Price(NamedTuple):
    """A price of a kind, pattern or set, from a moment on."""

    what: str
    channel: str
    price: int
    when: int


class Catalogue:
    """What can be made, of what, and at what price."""

    def __init__(self, led: Ledgers) -> None:
        """Read the pages of the catalogue; the newest word on each thing holds."""
        told = led.worked_out("catalogue", lambda: plain(led))
        self.retired = set(told["retired"])
        self.colours = {k: Colour(*row) for k, row in told["colours"].items()}
        self.ribbons = {k: Ribbon(*row) for k, row in told["ribbons"].items()}
        self.supplies = {k: Supply(*row) for k, row in told["supplies"].items()}
        self.revisions: dict[tuple[str, int], Pattern] = {}
        self.patterns: dict[str, Pattern] = {}
        for row in told["patterns"]:
            made = _pattern_of(row)
            self.revisions[made.code, made.revision] = made
            newest = self.patterns.get(made.code)
            if newest is None or made.revision >= newest.revision:
                self.patterns[made.code] = made
        self.colourways = self._plain_colourways()
        for key, (code, name, lead, pairs) in told["colourways"].items():
            self.colourways[key] = Colourway(code, name, lead, _tuples(pairs))
        self.sets = {
            k: SetUnit(code, name, _tuples(kinds))
            for k, (code, name, kinds) in told["sets"].items()
        }
        self._prices = _by_channel(Price(*row) for row in told["prices"])

    def _plain_colourways(self) -> dict[str, Colourway]:
        """Let each ribbon be a colourway of its own: one ribbon for all roles."""
        return {
            r.code: Colourway(
                r.code, self.colour_name(r.colour), r.colour, (("*", r.code),)
            )
            for r in self.ribbons.values()
        }

    def colour_name(self, code: str) -> str:
        """Give a colour's own name."""
        colour = self.colours.get(code)
        return colour.name if colour else code

    def ribbon_name(self, code: str) -> str:
        """Name a ribbon: colour, width, material."""
        ribbon = self.ribbons.get(code)
        if ribbon is None:
            return code
        width = format_length(ribbon.width)
        return f"{self.colour_name(ribbon.colour)} {width} {ribbon.material}"

    def split(self, kind: str) -> tuple[str, str]:
        """Split a kind's code into pattern and colourway codes."""
        pattern, _, colourway = kind.partition(":")
        return pattern, colourway

    def pattern_of(self, kind: str, revision: int | None = None) -> Pattern:
        """
        Give a kind's pattern, newest revision unless told.

        Raises:
            Unknown: when there is no such pattern.
        """
        code, _ = self.split(kind)
        made = (
            self.patterns.get(code)
            if revision is None
            else self.revisions.get((code, revision), self.patterns.get(code))
        )
        if made is None:
            raise Unknown(f"There is no pattern {code!r}.", instead="bows catalogue")
        return made

    def colourway_of(self, kind: str) -> Colourway | None:
        """Give a kind's colourway; None where the colour was not noticed."""
        return self.colourways.get(self.split(kind)[1])

    def lead(self, kind: str) -> str:
        """Give the lead colour of a kind ('' where it was not noticed)."""
        way = self.colourway_of(kind)
        return way.lead if way else ""

    def kind_name(self, kind: str) -> str:
        """Name a kind as she would: pattern and colour."""
        if kind in self.sets:
            return self.sets[kind].name
        code, way = self.split(kind)
        pattern = self.patterns.get(code)
        name = pattern.name if pattern else code
        if kind.endswith(UNNOTICED):
            return f"{name} (colour not noticed)"
        colourway = self.colourways.get(way)
        return f"{name} {colourway.name if colourway else way}"

    def fits(self, pattern: Pattern, way: Colourway) -> bool:
        """Say whether a colourway's ribbon for each role has the pattern's width."""
        lead = self.ribbons.get(way.ribbon_for(pattern.parts[0][0]))
        return lead is not None and lead.width == pattern.width

    def kinds(self) -> Iterator[str]:
        """Walk every kind that can be made: each pattern in each fitting colourway."""
        for pattern in self.patterns.values():
            if pattern.code in self.retired:
                continue
            for way in self.colourways.values():
                if way.code not in self.retired and self.fits(pattern, way):
                    yield f"{pattern.code}:{way.code}"

    def ribbon_needs(self, kind: str, revision: int | None = None) -> dict[str, int]:
        """Give the ribbon (nm by ribbon code) that one bow of a kind is cut from."""
        needs: dict[str, int] = {}
        way = self.colourway_of(kind)
        if way is None:
            return needs
        for role, length, count in self.pattern_of(kind, revision).parts:
            ribbon = way.ribbon_for(role)
            needs[ribbon] = needs.get(ribbon, 0) + length * count
        return needs

    def price(self, what: str, channel: str, when: int | None = None) -> int | None:
        """
        Give the price of a kind, set or pattern, in minor units.

        A kind's own price goes before its pattern's; a fair without a price of its own
        sells at retail; None where no price was ever set.
        """
        for name in (what, self.split(what)[0]):
            for price in reversed(self._prices.get((name, channel), ())):
                if when is None or price.when <= when:
                    return price.price
        return self.price(what, "retail", when) if channel == "fair" else None


def catalogue(led: Ledgers) -> Catalogue:
    """Give the ledgers' catalogue, read once."""
    made = led.memo.get("catalogue")
    if made is None:
        made = led.memo["catalogue"] = Catalogue(led)
    assert isinstance(made, Catalogue)
    return made


_NAMED = ("colours", "ribbons", "supplies", "patterns", "colourways", "sets")


def _is_retired(led: Ledgers, code: str) -> bool:
    """Say whether a thing was retired and not told anew since."""
    gone = _last(led, "retired", code).at
    told = (kept.at for noun in _NAMED for kept in led.page(noun, code))
    return not any((at.when, at.seq) > (gone.when, gone.seq) for at in told)


def _last(led: Ledgers, noun: str, key: str) -> Kept:
    return led.page(noun, key)[-1]


def _colour(kept: Kept) -> Colour:
    e = kept.event
    return Colour(e.colour, e.name, e.hex, e.family)


def _ribbon(kept: Kept) -> Ribbon:
    e = kept.event
    return Ribbon(e.ribbon, e.colour, e.width, e.material, e.finish)


def _supply(kept: Kept) -> Supply:
    e = kept.event
    return Supply(e.supply, e.name, e.yields)


def _pattern(kept: Kept) -> Pattern:
    e = kept.event
    return Pattern(
        e.pattern, e.revision, e.name, e.size, e.width,
        tuple((p.role, p.length, p.count) for p in e.parts),
        tuple((s.supply, s.count) for s in e.supplies),
        tuple((s.name, s.seconds, s.optional) for s in e.steps),
        e.set_up, e.setting,
    )  # fmt: skip


def _colourway(kept: Kept) -> Colourway:
    e = kept.event
    return Colourway(e.colourway, e.name, e.lead, e.ribbons)


def _set(kept: Kept) -> SetUnit:
    e = kept.event
    return SetUnit(e.set, e.name, e.kinds)


def _price(kept: Kept) -> Price:
    e = kept.event
    return Price(e.what, e.channel, e.price, kept.at.when)


def _by_channel(prices: Iterable[Price]) -> dict[tuple[str, str], list[Price]]:
    found: dict[tuple[str, str], list[Price]] = {}
    for price in prices:
        found.setdefault((price.what, price.channel), []).append(price)
    return found


def plain(led: Ledgers) -> dict[str, Any]:
    """
    Read the pages of the catalogue into plain values, as JSON knows them.

    The newest word on each thing; all revisions and prices, in order of their moments.
    """
    newest = {
        noun: {key: read(_last(led, noun, key)) for key in led.keys(noun)}
        for noun, read in _NEWEST.items()
    }
    return {
        **newest,
        "retired": [k for k in led.keys("retired") if _is_retired(led, k)],
        "patterns": [_pattern(kept) for kept in led.all_kept("patterns")],
        "prices": [_price(kept) for kept in led.all_kept("prices")],
    }


_NEWEST: Mapping[str, Callable[[Kept], Any]] = {
    "colours": _colour, "ribbons": _ribbon, "supplies": _supply,
    "colourways": _colourway, "sets": _set,
}  # fmt: skip


def _tuples(rows: Any) -> tuple[Any, ...]:
    return tuple(map(tuple, rows))


def _pattern_of(row: Any) -> Pattern:
    code, revision, name, size, width, parts, supplies, steps, *minutes = row
    return Pattern(
        code, revision, name, size, width, _tuples(parts), _tuples(supplies),
        _tuples(steps), *minutes,
    )  # fmt: skip
