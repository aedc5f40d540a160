"""Rich sample views, made by hand: what a page must be able to bear."""

from datetime import date, timedelta

from planner.views.common import (
    Colour,
    Foot,
    Link,
    Oddity,
    Shop,
    Size,
    SpoolLeft,
    SupplyLeft,
    Swatch,
    swatch,
)
from planner.views.due import (
    BenchDay,
    BenchSegment,
    DueDates,
    DueLine,
    DueOrder,
    FinishDay,
)
from planner.views.fair_plan import (
    FairCell,
    FairLimit,
    FairPlan,
    FairTotal,
    MakeNext,
)
from planner.views.frontpage import Answer, FrontPage, OpenOrder
from planner.views.stock import (
    ColourTotal,
    PlaceCount,
    SizeTotal,
    StockCell,
    StockFigures,
    StockMatrix,
)
from planner.views.story import AccountLine, SpoolStory, StoryEvent, StripPiece

INCH = 25_400_000
YARD = 36 * INCH

NASTY = "<script>alert('gone')</script><img src=x onerror=alert(1)>"
LONG = "Grosgrain with a picot edge in the colour of heather after rain"
HEBREW = "סרט כחול כהה"
EMOJI = "Bow 🎀 for 👩🏽‍🎤"

SHOP = Shop(name="Tern & Thimble", currency="USD")
FOOT = Foot(
    head="3fa9c1d07be2",
    as_of_on="2026-11-25",
    as_of="Wednesday 25 November 2026",
    known_on=None,
    made="Wednesday 25 November 2026, 20:15",
    late_entries=31,
    events=2418,
)
LINKS = (
    Link(text="Front page", href="index.html"),
    Link(text="Stock", href="stock.html"),
    Link(text="Due dates", href="due.html"),
    Link(text="Fair plan", href="fair plan.html"),
    Link(text="Spool S7", href="story-S7.html"),
)

PALETTE = (
    ("Harbour navy", "#1f2d4d", "navy"),
    ("Slate", "#5d6a78", "grey"),
    ("Sea-glass", "#8cc7b5", "teal"),
    ("Moss", "#66753a", "green"),
    ("Spruce", "#24503f", "green"),
    ("Butter", "#f4dd8a", "yellow"),
    ("Old gold", "#b98a2b", "gold"),
    ("Apricot", "#f2a76b", "orange"),
    ("Coral", "#ee7f6d", "coral"),
    ("Signal red", "#c2202f", "red"),
    ("Madder", "#8f2d3b", "burgundy"),
    ("Shell pink", "#f6ced2", "pink"),
    ("Rose", "#df6f92", "pink"),
    ("Heather", "#9a7ab0", "purple"),
    ("Plum", "#532a53", "purple"),
    ("Cocoa", "#5a3a28", "brown"),
    ("Oat", "#dcc7a3", "ivory"),
    ("Snow", "#ffffff", "white"),
    ("Jet", "#121212", "black"),
)
SWATCHES = tuple(
    swatch(name=name, hex=hex, family=family) for name, hex, family in PALETTE
)
COLOURS = (
    *(
        Colour(key=one.name.lower().replace(" ", "-"), name=one.name, swatches=(one,))
        for one in SWATCHES
    ),
    Colour(
        key="navy-snow",
        name="Harbour navy with snow",
        swatches=(SWATCHES[0], SWATCHES[17]),
    ),
)
ODD_COLOURS = (
    Colour(key="nasty", name=NASTY, swatches=(SWATCHES[9],)),
    Colour(key="long", name=LONG, swatches=(SWATCHES[13],)),
    Colour(key="hebrew", name=HEBREW, swatches=(SWATCHES[0],)),
    Colour(key="emoji", name=EMOJI, swatches=SWATCHES[4:7]),
)
SIZES = tuple(
    Size(key=key, name=name, short=key)
    for key, name in (
        ("2in", "Baby tuxedo, 2 in"),
        ("2½in", "Pinch, 2½ in"),
        ("3in", "Pinwheel, 3 in"),
        ("3½in", "Boutique, 3½ in"),
        ("4in", "Boutique, 4 in"),
        ("4in tail", "Boutique with tails, 4 in"),
        ("4½in", "Stacked, 4½ in"),
        ("5in", "Boutique, 5 in"),
        ("5½in", "Stacked, 5½ in"),
        ("6in", "Cheer, 6 in"),
        ("7in", "Cheer, 7 in"),
        ("pair", "Pair of pinch bows"),
    )
)


def length(nm: int) -> str:
    """Show a length in yards and inches."""
    inches = round(abs(nm) / INCH)
    yards, rest = divmod(inches, 36)
    words = " ".join(
        part
        for part in (f"{yards} yd" if yards else "", f"{rest} in" if rest else "")
        if part
    )
    return ("−" if nm < 0 else "") + (words or "nothing")


def _stock_cell(size: Size, colour: Colour, at: int) -> StockCell | None:
    if at % 5 in (1, 3):
        return None
    home = (at * 7) % 9
    wanted = 3 if at % 7 == 0 else 0
    elsewhere = 2 if at % 11 == 0 else 0
    waiting = 6 if at % 13 == 0 else 0
    missing = at == 42
    home = -2 if missing else home
    promised = min(wanted, max(home, 0))
    return StockCell(
        size=size.key,
        colour=colour.key,
        kind=f"{size.key} {colour.key}",
        home=home,
        elsewhere=elsewhere,
        promised=promised,
        short=wanted - promised,
        free=home + elsewhere - promised,
        waiting=waiting,
        odd="two more were sold than were ever made" if missing else "",
    )


def _sum(cells: list[StockCell]) -> dict[str, int]:
    fields = ("home", "elsewhere", "promised", "short", "free", "waiting")
    return {name: sum(getattr(cell, name) for cell in cells) for name in fields}


def spools_left() -> tuple[SpoolLeft, ...]:
    """Give a few spools, one of them overdrawn, one with an untamed name."""
    lefts = (3 * YARD, 12 * YARD + 7 * INCH, -9 * INCH, 61 * YARD, 100 * YARD)
    names = ("⅞ in harbour navy", "⅞ in snow", NASTY, LONG, HEBREW)
    notes = ("low", "a join was found", "an entry is missing before this day", "", "")
    return tuple(
        SpoolLeft(
            code=f"S{at + 7}",
            ribbon=names[at],
            swatch=SWATCHES[(0, 17, 9, 13, 0)[at]],
            left_nm=left,
            left=length(left),
            label_nm=100 * YARD,
            label="100 yd",
            unexplained=length(-22 * INCH) if at == 1 else "",
            unexplained_nm=-22 * INCH if at == 1 else 0,
            note=notes[at],
            href=f"story-S{at + 7}.html" if at < 2 else "",
        )
        for at, left in enumerate(lefts)
    )


def stock(colours: tuple[Colour, ...] = COLOURS) -> StockMatrix:
    """Give a full matrix: 12 sizes by 20 colours."""
    made = [
        _stock_cell(size, colour, row * 12 + column)
        for row, colour in enumerate(colours)
        for column, size in enumerate(SIZES)
    ]
    cells = [cell for cell in made if cell]
    return StockMatrix(
        shop=SHOP,
        foot=FOOT,
        links=LINKS,
        sizes=SIZES,
        colours=colours,
        cells=tuple(cells),
        size_totals=tuple(
            SizeTotal(size=s.key, **_sum([c for c in cells if c.size == s.key]))
            for s in SIZES
        ),
        colour_totals=tuple(
            ColourTotal(colour=k.key, **_sum([c for c in cells if c.colour == k.key]))
            for k in colours
        ),
        total=StockFigures(**_sum(cells)),
        places=(
            PlaceCount(place="home", count=412),
            PlaceCount(place="The Blue Door, boutique", count=36),
            PlaceCount(place="in the post", count=-1),
        ),
        odd=(
            Oddity(
                about="4in tail moss",
                what="2 more were sold than the records ever had.",
                instead="bows count 4 '4in tail' moss",
            ),
        ),
        spools=spools_left(),
        supplies=(
            SupplyLeft(name="clip 1¾ in", left=84, unit="clips", enough_for=84),
            SupplyLeft(name="glue stick", left=3, unit="sticks", enough_for=60),
            SupplyLeft(name="card", left=-6, unit="cards", note="an entry is missing"),
        ),
    )


def frontpage() -> FrontPage:
    """Give a busy front page."""
    return FrontPage(
        shop=SHOP,
        foot=FOOT,
        links=LINKS[1:],
        day="Wednesday 25 November 2026, three days before the Kelp Street winter fair",
        fair=Answer(
            question="What do I bring on Saturday?",
            mood="look",
            short="Bring 148 bows: 121 are on the shelf, 27 are still to be made.",
            points=(
                "First: 6 of 4in signal red, then 5 of 3in spruce.",
                "They take 4 h 10 min; you have 5 h 30 min after the orders.",
                "Expect about $612 ($430 to $810), less the fee of $45.",
            ),
            typed="bows fair plan",
            link=Link(text="The whole fair plan", href="fair plan.html"),
        ),
        due=Answer(
            question="Will everything be ready in time?",
            mood="act",
            short="Five orders are on time; order O-61 would be a day late.",
            points=(
                "O-61, 6 × 4in navy for Friday, waits for spool S7.",
                "Half an hour more tomorrow would save it.",
            ),
            typed="bows due",
            link=Link(text="All due dates", href="due.html"),
        ),
        ribbon=Answer(
            question="Where did the ribbon go?",
            mood="fine",
            short="All but 3 yd 8 in of 2 140 yd is accounted for.",
            points=("Most of it, 2 yd 10 in, is missing from S12.",),
            typed="bows story S12",
            link=Link(text="The story of S12", href="story-S12.html"),
        ),
        orders=(
            OpenOrder(
                code="O-61",
                who="Marit",
                what="6 × 4in navy",
                due_on="2026-11-27",
                due="Fri 27 Nov",
                mood="act",
                state="late",
            ),
            OpenOrder(
                code="O-58",
                who=NASTY,
                what=f"2 × {LONG}, 1 × {HEBREW}, 4 × {EMOJI}",
                due_on="2026-11-28",
                due="Sat 28 Nov",
                mood="look",
                state="close",
            ),
            OpenOrder(
                code="O-55",
                who="",
                what="1 pair of pinch bows in rose",
                due_on="",
                due="",
                mood="fine",
                state="meets",
            ),
        ),
        spools_low=spools_left()[:3],
        missing=(
            Oddity(
                about="S9",
                what="The books are 9 in below nothing.",
                instead="bows measure S9",
            ),
        ),
        colours=SWATCHES,
    )


def due() -> DueDates:
    """Give due dates over three weeks, with every state in it."""
    kinds = ("4in navy", "3in rose", LONG, NASTY, HEBREW, "5in snow", "2in oat")
    states = (
        "meets", "close", "late", "no ribbon", "no bench hours", "no supplies", "ready",
    )  # fmt: skip
    orders = tuple(
        DueOrder(
            code=f"O-{55 + at}",
            who=("Marit", "", LONG, NASTY, HEBREW, EMOJI, "Odd")[at],
            lines=(
                DueLine(
                    kind=kind,
                    count=6 + at,
                    ready=at,
                    make=6,
                    swatches=(SWATCHES[at * 2],),
                ),
                *(
                    (
                        DueLine(
                            kind="2in butter",
                            count=2,
                            ready=0,
                            make=2,
                            swatches=SWATCHES[5:7],
                        ),
                    )
                    if at == 1
                    else ()
                ),
            ),
            due_on=f"2026-11-{26 + at // 2}",
            due=f"{('Thu', 'Fri', 'Sat', 'Sun')[at // 2]} {26 + at // 2} Nov, 17:00",
            work_minutes=55 + 10 * at,
            work=f"{(55 + 10 * at) // 60} h {(55 + 10 * at) % 60:02} min",
            ready_on="2026-11-27" if at != 3 else "",
            ready="Fri 27 Nov, 11:40" if at != 3 else "",
            slack_minutes=120 - 40 * at if at != 3 else None,
            slack="1 h 20 min to spare"
            if at < 2
            else ("1 day late" if at == 2 else "—"),
            state=states[at],
            waits_for=("", "", "bench hours", "ribbon: no rose left", "", "", "")[at],
            chance=0.5,
            chance_shown="50 %" if at == 1 else "",
            early="Thu 26 Nov" if at < 3 else "",
            late=("Sat 28 Nov", "Mon 7 Dec", "", "", "", "", "")[at],
            finish=tuple(
                FinishDay(day_on=f"2026-11-{26 + n}", in_time=good, late=bad)
                for n, (good, bad) in enumerate(
                    ((0.3, 0.0), (0.15, 0.1), (0.0, 0.2), (0.05, 0.1))
                )
            )
            if at < 3
            else (),
        )
        for at, kind in enumerate(kinds)
    )
    return DueDates(
        shop=SHOP,
        foot=FOOT.model_copy(
            update={"known_on": "2026-11-20", "known": "Friday 20 November 2026"}
        ),
        links=LINKS,
        policy="soonest due first, less what only has to set",
        short="Five of seven orders are on time; O-57 would be a day late and O-58 "
        "waits for ribbon.",
        orders=orders,
        days=tuple(_bench_day(at) for at in range(16)),
        needed_minutes=515,
        needed="8 h 35 min",
        planned_minutes=1680,
        planned="28 h",
        rests_on=(
            "Minutes a bow: medians of 214 sittings; 2in oat has only 3, so it leans "
            "on your own guess of 9 min.",
            "Bench hours: your weekly hours and 2 exceptions; you have really worked "
            "about 85 % of them.",
            "Another hour before Friday would bring O-57 in on time.",
        ),
    )


def _bench_day(at: int) -> BenchDay:
    day = date(2026, 11, 25) + timedelta(days=at)
    minutes = (90, 120, 150, 0, 180, 60, 90)[at % 7]
    parts: tuple[BenchSegment, ...] = ()
    if minutes and at < 6:
        first = minutes // 3
        parts = (
            BenchSegment(
                order=f"O-{55 + at}", label="4in navy", start_minute=0, minutes=first
            ),
            BenchSegment(
                order=f"O-{56 + at}",
                label=EMOJI,
                start_minute=first,
                minutes=minutes // 2,
                late=at == 2,
            ),
            BenchSegment(
                order="O-61",
                label="3in rose",
                start_minute=first + minutes // 2,
                minutes=4,
            ),
        )
    used = sum(part.minutes for part in parts)
    return BenchDay(
        day_on=day.isoformat(),
        day=f"{day:%a} {day.day} {day:%b}",
        planned_minutes=minutes,
        planned=f"{minutes // 60} h {minutes % 60:02}" if minutes else "none",
        used_minutes=used,
        used=f"{used // 60} h {used % 60:02}" if used else "—",
        segments=parts,
        due={
            1: ("O-55", "O-56"),
            2: ("O-57", "O-58"),
            3: tuple(f"O-{n}" for n in range(59, 66)),
        }.get(at, ()),
        note="Kelp Street winter fair" if at == 3 else "",
    )


def fair_plan(colours: tuple[Colour, ...] = COLOURS) -> FairPlan:
    """Give a plan of some 90 kinds."""
    cells = tuple(
        FairCell(
            size=size.key,
            colour=colour.key,
            kind=f"{size.key} {colour.key}",
            bring=1 + (row + 2 * column) % 6,
            have=min(1 + (row + 2 * column) % 6, row % 5),
            make=max(0, 1 + (row + 2 * column) % 6 - row % 5),
            sell_out=((row * 5 + column) % 10) / 10,
            sell_out_shown=f"{((row * 5 + column) % 10) * 10} %",
            left_over=1.2,
            left_over_shown="1.2",
            own_weight=0.7,
            why="mostly its own: sold at 6 of 8 fairs, sold out at 2"
            if row % 2
            else "mostly its neighbours: brought once",
        )
        for row, colour in enumerate(colours)
        for column, size in enumerate(SIZES)
        if (row * 12 + column) % 5 == 0
    )

    def total(key: str, field: str) -> FairTotal:
        chosen = [cell for cell in cells if getattr(cell, field) == key]
        return FairTotal(
            key=key,
            bring=sum(cell.bring for cell in chosen),
            have=sum(cell.have for cell in chosen),
            make=sum(cell.make for cell in chosen),
        )

    return FairPlan(
        shop=SHOP,
        foot=FOOT,
        links=LINKS,
        fair="Kelp Street winter fair",
        when_on="2026-11-28",
        when="Saturday 28 November 2026, 10:00 to 16:00",
        days_left=3,
        short="Bring 148 bows. 121 are on the shelf; make 27 more, the reds first.",
        sizes=SIZES,
        colours=colours,
        cells=cells,
        size_totals=tuple(total(size.key, "size") for size in SIZES),
        colour_totals=tuple(total(colour.key, "colour") for colour in colours),
        bring=sum(cell.bring for cell in cells),
        have=sum(cell.have for cell in cells),
        make=sum(cell.make for cell in cells),
        sold=96.0,
        sold_shown="96 (68 to 124)",
        takings_minor=61_200,
        takings="$612.00",
        profit_minor=41_880,
        profit="$418.80",
        fee_minor=4500,
        fee="$45.00",
        materials_minor=14_820,
        materials="$148.20",
        limits=(
            FairLimit(
                name="bench hours before the fair",
                needed="5 h 30 min",
                available="5 h 30 min",
                needed_amount=330,
                available_amount=330,
                unit="minutes",
                binds=True,
                worth="One more hour would be worth about $14.",
            ),
            FairLimit(
                name="⅞ in signal red",
                needed="8 yd",
                available="41 yd",
                needed_amount=8 * YARD,
                available_amount=41 * YARD,
                unit="nanometres",
                binds=False,
            ),
        ),
        make_next=tuple(
            MakeNext(
                kind=kind,
                count=6 - at,
                minutes=62 - at,
                time=f"{62 - at} min",
                swatches=(SWATCHES[at + 8],),
                from_spool=f"S{at + 4}" if at != 2 else "",
                why="sold out at three of the last four fairs",
            )
            for at, kind in enumerate(("4in signal red", "3in spruce", NASTY, HEBREW))
        ),
        rests_on=(
            "8 fairs with 1 012 bows sold; this one has a crowd like last year’s.",
            "On the sizes it is fairly sure, on single colours it is not.",
        ),
    )


def story() -> SpoolStory:
    """Give a spool with many short cuts, a join, scraps, a correction, late entries."""
    cuts = [12, 12, 6, *([1] * 9), 24, 3, 1, 12, 2, 12, 20]
    pieces: list[StripPiece] = []
    day = date(2026, 9, 1)
    for at, count in enumerate(cuts):
        nm = count * 25 * INCH
        scrap = count == 1 and at % 3 == 0
        pieces.append(
            StripPiece(
                account="scrapped" if scrap else ("bundles" if at > 16 else "bows"),
                label="mis-cut" if scrap else f"{count} × 4in navy",
                length_nm=nm,
                length=length(nm),
                how="inferred" if at % 4 == 0 else "known",
                entry=100 + at * 7,
                day_on=(day + timedelta(days=at * 3)).isoformat(),
                day=f"{day + timedelta(days=at * 3):%a %d %b}",
                went_to="" if scrap else "batch B41, order O-52, Marit",
                join_after=at == 12,
            )
        )
    extra: tuple[tuple[str, str, int], ...] = (
        ("trimmed", "end trims", 22),
        ("sent out", "a yard to a friend", 36),
        ("not yet explained", "not yet explained", 40),
        ("ends", "end kept", 9),
        ("left", "left on the spool", 0),
    )
    used = sum(piece.length_nm for piece in pieces)
    for account, label, inches in extra:
        nm = inches * INCH or 100 * YARD - used
        used += nm
        pieces.append(
            StripPiece(
                account=account,  # type: ignore[arg-type]
                label=label,
                length_nm=nm,
                length=length(nm),
                entry=None,
            )
        )
    order = ("left", "ends", "bundles", "bows", "trimmed", "scrapped", "sent out")
    accounts = [
        (name, sum(p.length_nm for p in pieces if p.account == name)) for name in order
    ]
    accounts.append(("not yet explained", 40 * INCH))
    labels = {
        "left": "left on it",
        "ends": "ends kept",
        "bundles": "in bundles",
        "bows": "in bows, as cut",
        "trimmed": "trimmed, as weighed",
        "scrapped": "scrapped: mis-cut",
        "sent out": "sent out: given",
    }
    return SpoolStory(
        shop=SHOP,
        foot=FOOT,
        links=LINKS,
        code="S7",
        ribbon="⅞ in harbour navy grosgrain",
        swatch=SWATCHES[0],
        supplier="Fjord & Daughters, haberdashers",
        lot="lot 2261, or the delivery of 24 August",
        received_on="2026-08-24",
        received="Mon 24 Aug 2026",
        label_nm=100 * YARD,
        label="100 yd",
        opening_nm=100 * YARD,
        opening="100 yd, as the label says",
        left_nm=accounts[0][1],
        left=length(accounts[0][1]),
        unexplained_nm=40 * INCH,
        unexplained=length(40 * INCH),
        short="Of 100 yd, most went into 4-inch bows; 1 yd 4 in is not yet explained.",
        runs="two, joined at about 61 yd",
        accounts=(
            AccountLine(
                account="opening",
                label="opening, as the label says",
                length_nm=100 * YARD,
                length="100 yd",
                share=1.0,
                share_shown="100 %",
            ),
            *(
                AccountLine(
                    account=name,  # type: ignore[arg-type]
                    label=labels.get(name, name),
                    length_nm=nm,
                    length=length(nm),
                    share=nm / (100 * YARD),
                    share_shown=f"{nm / YARD:.1f} %",
                    note="since the reading of 12 October"
                    if name == "not yet explained"
                    else "",
                )
                for name, nm in accounts
            ),
        ),
        strip=tuple(pieces),
        events=tuple(_event(at) for at in range(18)),
        label_check="It was first measured after its first cut, so nothing can be said "
        "of the label.",
        odd=(
            Oddity(
                about="entry 149",
                what="12 × 4in navy finished with no cut on record; taken as cut here.",
                instead="bows cut 12 4in navy from S7",
            ),
        ),
    )


def _event(at: int) -> StoryEvent:
    texts = (
        "12 parts of 25 in cut for 4in navy",
        f"wound by {NASTY}",
        f"measured: {LONG}",
        HEBREW,
    )
    return StoryEvent(
        entry=100 + at * 7,
        happened_on=f"2026-09-{at + 1:02}",
        happened=f"Tue {at + 1} Sep",
        what=texts[at % 4] if at else "came in: 100 yd by its label",
        change_nm=-300 * INCH,
        change="−8 yd 12 in" if at else "100 yd",
        left_nm=(100 - at * 5) * YARD,
        left=f"{100 - at * 5} yd",
        how="inferred" if at == 6 else "known",
        recorded="Sat 12 Sep" if at == 5 else "",
        late=at == 5,
        corrects=149 if at == 8 else None,
        corrected_by=156 if at == 7 else None,
    )


def empty_foot() -> Foot:
    """Give the foot of a shop opened this minute."""
    return Foot(
        head="000000000000",
        as_of_on="2026-11-25",
        as_of="Wednesday 25 November 2026",
        made="Wednesday 25 November 2026, 20:15",
        events=1,
    )


def empty() -> dict[str, object]:
    """Give the five reports of a shop with nothing in it."""
    base = {"shop": Shop(name=HEBREW, currency="JPY"), "foot": empty_foot()}
    nothing = Answer(
        question="What do I bring?",
        mood="fine",
        short="No fair is announced.",
        typed="bows fair plan",
    )
    return {
        "empty-front": FrontPage(
            **base, day="today", fair=nothing, due=nothing, ribbon=nothing
        ),
        "empty-stock": StockMatrix(
            **base,
            total=StockFigures(home=0, elsewhere=0, promised=0, free=0, waiting=0),
        ),
        "empty-due": DueDates(
            **base,
            policy="soonest due first",
            short="Nothing is due.",
            needed_minutes=0,
            needed="nothing",
            planned_minutes=0,
            planned="none",
        ),
        "empty-fair": FairPlan(
            **base,
            fair=NASTY,
            when_on="2026-11-28",
            when="Saturday",
            days_left=3,
            short="There is nothing to plan with yet.",
            bring=0,
            have=0,
            make=0,
            sold=0.0,
            sold_shown="0",
            takings_minor=0,
            takings="¥0",
            profit_minor=0,
            profit="¥0",
            fee_minor=0,
            fee="¥0",
            materials_minor=0,
            materials="¥0",
        ),
        "empty-story": SpoolStory(
            **base,
            code=EMOJI,
            ribbon=LONG,
            swatch=Swatch(hex="#ffffff", name=LONG),
            supplier=HEBREW,
            lot=NASTY,
            received_on="2026-11-25",
            received="today",
            label_nm=0,
            label="no label",
            opening_nm=0,
            opening="nothing",
            left_nm=0,
            left="nothing",
            unexplained_nm=0,
            unexplained="nothing",
            short="Nothing happened yet.",
            accounts=(),
        ),
    }


def reports() -> dict[str, object]:
    """Give every sample by the name its file takes."""
    odd = (*COLOURS[:5], *ODD_COLOURS)
    return {
        "front": frontpage(),
        "stock": stock(),
        "stock-odd": stock(odd),
        "due": due(),
        "fair": fair_plan(),
        "story": story(),
        **empty(),
    }
