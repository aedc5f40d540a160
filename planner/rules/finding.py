"""Find what she means: kinds, patterns, ribbons, spools, orders, fairs, places."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from planner.errors import Ambiguous, Refusal, Unknown
from planner.ledgers.bows import HOME, UNNOTICED, stall
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import Fair, coming_fairs, fairs
from planner.ledgers.orders import Order, orders
from planner.ledgers.state import Ledgers
from planner.values.names import Candidate, find
from planner.values.text import quoted
from planner.values.units import NM_PER_INCH


def _words(words: Iterable[str] | str) -> str:
    return words if isinstance(words, str) else " ".join(words)


def find_kind(led: Ledgers, words: Iterable[str] | str) -> str:
    """
    Find a kind by words such as ``4in navy``.

    Where several could be meant, those she has made or sold before are meant.
    Raises Unknown with near misses, Ambiguous with the choices.
    """
    text, cat = _words(words), catalogue(led)
    if not cat.patterns:
        raise Unknown("No pattern is known yet.", instead="bows pattern --help")
    every = {k: Candidate(k, cat.kind_name(k)) for k in cat.kinds()}
    used = {
        k: Candidate(k, cat.kind_name(k))
        for k in led.bows.items if ":" in k and not k.endswith(UNNOTICED)
    }  # fmt: skip
    try:
        return find(text, {**used, **every}.values(), what="kind", hint=_LISTED)
    except Unknown as nothing:
        raise _new_kind(cat, text, nothing) from nothing
    except Ambiguous:
        if not used or not _names_both(cat, text):
            raise
    try:
        return find(text, used.values(), what="kind")
    except Unknown:
        return find(text, every.values(), what="kind")


_SEVERAL = re.compile(r",\s*\d+\s")
_NOT_NOTICED = re.compile(r"(?:\?|\b(?:colour )?not[ -]noticed)$", re.I)


def _new_kind(cat: Catalogue, text: str, nothing: Unknown) -> Unknown:
    """Say how words that find no kind could be meant: several kinds, or a new one."""
    if _SEVERAL.search(text):
        return Unknown(
            "That is more than one kind.", instead="a line for each, such as: 4in navy"
        )
    if nothing.instead.startswith("Did you mean"):
        return nothing
    for size, colour in _splits(text):
        widths = {p.width for p in cat.patterns.values()
                  if _fits_some(size, [Candidate(p.code, p.name)])}  # fmt: skip
        if len(widths) == 1:
            ribbon = f"bows ribbon {colour} {widths.pop() / NM_PER_INCH:g}in"
            return Unknown(nothing.what, instead=_first_colour(cat, colour, ribbon))
    return nothing


def _splits(text: str) -> list[tuple[str, str]]:
    """Give the ways to split words into a size and a colour, the longest size first."""
    words = text.split()
    return [
        (" ".join(words[:n]), " ".join(words[n:])) for n in range(len(words) - 1, 0, -1)
    ]


def _first_colour(cat: Catalogue, colour: str, ribbon: str) -> str:
    """Say what to type to make a kind of a colour: its ribbon, before that its name."""
    colours = [Candidate(c.code, c.name) for c in cat.colours.values()]
    if _fits_some(colour, colours):
        return f"{ribbon}   (then the same again; or see: bows catalogue)"
    return f"bows colour {colour}, then: {ribbon}   (or see: bows catalogue)"


def not_noticed(text: str) -> str | None:
    """Give the size of ``4in not noticed`` or ``4in ?``; None for any other words."""
    found = _NOT_NOTICED.search(text.rstrip())
    return text[: found.start()].rstrip("? ") if found else None


_LISTED = "bows catalogue   (lists what there is)"
_NEW_RIBBON = "bows ribbon navy 1.5in   (names a new one; bows catalogue lists them)"


def _names_both(cat: Catalogue, text: str) -> bool:
    """
    Say whether words name a size and a colour.

    A forgotten colour is asked for, though she may have made only one colour so far.
    """
    patterns = [Candidate(p.code, p.name) for p in cat.patterns.values()]
    colours = [Candidate(c.code, c.name) for c in cat.colours.values()]
    return not any(_fits_some(text, choices) for choices in (patterns, colours))


def _fits_some(text: str, choices: list[Candidate]) -> bool:
    try:
        find(text, choices, what="word")
    except Ambiguous:
        return True
    except Refusal:
        return False
    return True


def find_kind_or_unnoticed(led: Ledgers, words: Iterable[str] | str) -> str:
    """Find a kind, or ``pattern:?`` when the last words say the colour is unknown."""
    text = _words(words)
    size = not_noticed(text)
    if size is not None:
        return find_pattern(led, size) + UNNOTICED
    return find_kind(led, text)


def find_unit(led: Ledgers, words: Iterable[str] | str) -> tuple[str, dict[str, int]]:
    """Find a kind or a set; returns its code and the bows one unit holds."""
    text, cat = _words(words), catalogue(led)
    for one in cat.sets.values():
        if text.casefold() in (one.name.casefold(), one.code):
            return one.code, dict(one.kinds)
    # "4in navy" is the kind, though "pair 4in navy" has all its words.
    try:
        kind = find_kind(led, text)
    except Unknown:
        if not cat.sets:
            raise
        return _find_set(cat, text)
    return kind, {kind: 1}


def _find_set(cat: Catalogue, text: str) -> tuple[str, dict[str, int]]:
    choices = [Candidate(s.code, s.name) for s in cat.sets.values()]
    code = find(text, choices, what="set")
    return code, dict(cat.sets[code].kinds)


def find_pattern(led: Ledgers, words: Iterable[str] | str) -> str:
    """Find a pattern by name or size."""
    cat = catalogue(led)
    choices = [Candidate(p.code, p.name) for p in cat.patterns.values()]
    return find(_words(words), choices, what="pattern", hint=_LISTED)


def find_colour(led: Ledgers, words: Iterable[str] | str) -> str:
    """Find a colour by her own name."""
    cat = catalogue(led)
    choices = [Candidate(c.code, c.name) for c in cat.colours.values()]
    return find(_words(words), choices, what="colour", hint=_LISTED)


def find_ribbon(led: Ledgers, words: Iterable[str] | str) -> str:
    """Find a ribbon by colour, width and material."""
    cat = catalogue(led)
    choices = [Candidate(r.code, cat.ribbon_name(r.code)) for r in cat.ribbons.values()]
    return find(_words(words), choices, what="ribbon", hint=_NEW_RIBBON)


def find_supply(led: Ledgers, words: Iterable[str] | str) -> str:
    """Find a supply by name."""
    cat = catalogue(led)
    choices = [Candidate(s.code, s.name) for s in cat.supplies.values()]
    return find(_words(words), choices, what="supply", hint=_LISTED)


def find_code(codes: Iterable[str], code: str, *, what: str, instead: str) -> str:
    """Find a short code whatever its case."""
    plain = code.strip().upper()
    if isinstance(codes, Mapping) and plain in codes:
        return plain
    for known in codes:
        if known.lower() == code.strip().lower():
            return known
    raise Unknown(f"There is no {what} {quoted(code)}.", instead=instead)


def find_spool(led: Ledgers, code: str) -> str:
    """Find a spool by its short code."""
    return find_code(led.spools, code, what="spool", instead="bows spools")


def find_bundle(led: Ledgers, code: str) -> str:
    """Find a bundle by its short code."""
    return find_code(led.bundles, code, what="bundle", instead="bows bundles")


def find_batch(led: Ledgers, code: str) -> str:
    """Find a batch by its short code."""
    return find_code(led.batches, code, what="batch", instead="bows entries")


def find_order(led: Ledgers, code: str) -> Order:
    """Find an order by its short code."""
    every = orders(led)
    return every[find_code(every, code, what="order", instead="bows orders")]


_NEW_FAIR = 'bows fair new "Spring market" sat 10:00-16:00'


def find_fair(led: Ledgers, words: str | None, today: str) -> Fair:
    """Find a fair by code or name; without words, the next one."""
    every = fairs(led)
    if not words:
        ahead = coming_fairs(led, today)
        if not ahead:
            raise Unknown("No fair is ahead.", instead=_NEW_FAIR)
        return ahead[0]
    choices = [Candidate(f.code, f"{f.name} {f.code}") for f in every.values()]
    if not choices:
        raise Unknown("No fair was entered yet.", instead=_NEW_FAIR)
    try:
        return every[find(words, choices, what="fair")]
    except Ambiguous:
        soon = {f.code for f in coming_fairs(led, today)}
        narrowed = [choice for choice in choices if choice.code in soon]
        if not narrowed:
            raise
        return every[find(words, narrowed, what="fair")]


def find_place(led: Ledgers, words: str | None, today: str) -> str:
    """
    Find a place: home, post, a boutique by name, a fair's stall by code or name.

    Without words it is home.
    """
    if not words or words.lower() == HOME:
        return HOME
    if words.lower() == "post":
        return "post"
    if words.lower() == "stall":
        return stall(find_fair(led, None, today).code)
    choices = [
        Candidate(code, f"{led.page('boutiques', code)[0].event.name}")
        for code in led.keys("boutiques")
    ]
    choices += [
        Candidate(stall(f.code), f"{f.name} {f.code} stall")
        for f in fairs(led).values()
    ]
    if not choices:
        raise Unknown(
            f"There is no place {quoted(words)}; the records know only home.",
            instead="bows boutique new NAME --commission 40   (or: bows fair new ...)",
        )
    return find(words, choices, what="place")


def place_name(led: Ledgers, place: str) -> str:
    """Name a place as she would."""
    if place.startswith("stall:"):
        fair = fairs(led).get(place.removeprefix("stall:"))
        return f"the stall at {fair.name}" if fair else place
    if place.startswith("boutique:"):
        page = led.page("boutiques", place)
        return page[0].event.name if page else place
    return place


def kind_names(cat: Catalogue, bows: Iterable[tuple[str, int]]) -> str:
    """Say kinds with their numbers: `6 classic 4 in navy, 2 classic 4 in red`."""
    return ", ".join(f"{count:,} {cat.kind_name(kind)}" for kind, count in bows)
