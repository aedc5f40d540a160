"""Build the cutting list's view from the plan."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import coming_fairs
from planner.ledgers.orders import open_orders
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import spools
from planner.log.chain import short as short_hash
from planner.plans.cutting import (
    Allowance,
    CuttingPlan,
    Level,
    Run,
    RunCuts,
    Want,
    What,
)
from planner.views import naming
from planner.views.common import Oddity
from planner.views.cutting import CutLevel, CutLine, CuttingList, End, RunCut, UncutLine
from planner.views.foot import foot

NAMES: dict[What, str] = {
    "uncut": "sets left uncut",
    "lots": "dye lots beyond an order's first",
    "new spools": "new spools opened",
    "unusable end": "ends too short for use",
    "part spools": "part-used spools touched",
}


def build(
    led: Ledgers,
    plan: CuttingPlan,
    runs: Sequence[Run],
    allowed: Allowance,
    *,
    today: str,
    made: str,
    asked: str = "",
    claims: Sequence[str] = (),
) -> CuttingList:
    """
    Show what to cut from which spool.

    `runs` are all there were to choose from; `allowed` is the over-cut that parts and
    runs are reckoned with; `asked` is what she named, as typed, `claims` the orders
    and fairs it was asked for.
    """
    cat = catalogue(led)
    parts = sum(cut.count for run in plan.runs for cut in run.cuts)
    told = sum(cut.count * cut.told for run in plan.runs for cut in run.cuts)
    return CuttingList(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=today, known_on=None, made=made),
        short=short(led, cat, plan, today=today, claims=claims),
        asked=asked or ", ".join(claims),
        runs=tuple(_run(led, cat, plan, one, runs) for one in plan.runs),
        uncut=tuple(_uncut(cat, plan, at, sets) for at, sets in plan.uncut),
        parts=parts, ribbon_nm=told, ribbon=naming.length(led, told),
        levels=tuple(_level(led, level) for level in plan.levels) if parts else (),
        proved=plan.proved, verdict=verdict(led, plan),
        done=_done(led, asked, claims) if parts else "",
        rests_on=tuple(_rests_on(led, plan, runs, allowed)), odd=tuple(_odd(led, plan)),
    )  # fmt: skip


def short(
    led: Ledgers, cat: Catalogue, plan: CuttingPlan, *, today: str = "",
    claims: Sequence[str] = (),
) -> str:  # fmt: skip
    """Answer in a sentence or two."""
    parts = sum(cut.count for run in plan.runs for cut in run.cuts)
    if not parts and not plan.uncut:
        return f"Nothing is to cut: {_nothing(led, today, claims)}"
    said = "Nothing can be cut"
    if parts:
        spools = dict.fromkeys(one.run.spool for one in plan.runs)
        said = f"{_count(parts, 'part')} from {_count(len(spools), 'spool')}"
        said += _opened(plan)
    lacking = dict.fromkeys(plan.wants[at].ribbon for at, _ in plan.uncut)
    if lacking:
        names = ", ".join(cat.ribbon_name(ribbon) for ribbon in lacking)
        said += f"; there is not enough {names}"
    return f"{said}."


def _nothing(led: Ledgers, today: str, claims: Sequence[str]) -> str:
    """Say why: nothing asks for a bow, or all that is asked for has its parts."""
    ahead = [f for f in coming_fairs(led, today) if not claims or f.code in claims]
    asking = [o.code for o in open_orders(led) if not claims or o.code in claims]
    asking += [fair.code for fair in ahead if fair.plan]
    said = "no order or accepted plan asks for a bow."
    if asking:
        said = "all that orders and accepted plans ask for is made or has its parts."
    unsure = [fair.code for fair in ahead if not fair.plan]
    return (
        f"{said} To count a fair's plan in: bows fair accept {unsure[0]}."
        if unsure
        else said
    )


def _opened(plan: CuttingPlan) -> str:
    opened = dict.fromkeys(one.run.spool for one in plan.runs if not one.run.begun)
    return f", {', '.join(opened)} opened for it" if opened else ", none of them new"


def _count(n: int, one: str) -> str:
    return f"{n:,} {one if n == 1 else one + 's'}"


def verdict(led: Ledgers, plan: CuttingPlan) -> str:
    """Say that nothing is better, or by how much the list may be off the best."""
    loose = [level for level in plan.levels if not level.proved]
    if not loose:
        return (
            "No list could do better: proved, counting what is named first as the "
            "weightiest."
        )
    first = loose[0]
    most = first.value - first.bound
    name = NAMES[first.what]
    said = naming.length(led, most) if first.what == "unusable end" else f"{most:,}"
    held = "all above it proved" if first is not plan.levels[0] else "nothing proved"
    return f"At most {said} from the best in {name} ({held})."


def _run(
    led: Ledgers, cat: Catalogue, plan: CuttingPlan, one: RunCuts, runs: Sequence[Run]
) -> RunCut:
    run = one.run
    return RunCut(
        spool=run.spool, ribbon=cat.ribbon_name(run.ribbon),
        swatch=naming.swatch_of_ribbon(cat, run.ribbon), lot=run.lot, run=run.nth,
        runs=sum(other.spool == run.spool for other in runs), opens=not run.begun,
        start_nm=run.length + run.gone,
        start=naming.length(led, run.length + run.gone),
        likely_nm=run.length, likely=naming.length(led, run.length),
        cuts=tuple(_cuts(led, cat, plan, one)), end_nm=one.left,
        end=_end_words(led, plan, one.left), end_is=_end(plan, one.left),
    )  # fmt: skip


def _cuts(
    led: Ledgers, cat: Catalogue, plan: CuttingPlan, one: RunCuts
) -> Iterator[CutLine]:
    for cut in one.cuts:
        want = plan.wants[cut.want]
        yield CutLine(
            count=cut.count, role=cut.role, length_nm=cut.told,
            length=naming.length(led, cut.told), what=_what(cat, want),
            claim=_claim(want), left_nm=cut.left, left=naming.length(led, cut.left),
        )  # fmt: skip


def _what(cat: Catalogue, want: Want) -> str:
    return naming.typed(cat, want.kind) if want.kind else "a set"


def _claim(want: Want) -> str:
    return want.order or want.fair or ""


def _end(plan: CuttingPlan, left: int) -> End:
    if not left:
        return "nothing"
    return "of use" if left >= plan.usable else "too short"


def _end_words(led: Ledgers, plan: CuttingPlan, left: int) -> str:
    if not left:
        return "nothing left"
    said = f"{naming.length(led, left)} left"
    return said if left >= plan.usable else f"{said}, too short for use"


def _uncut(cat: Catalogue, plan: CuttingPlan, at: int, sets: int) -> UncutLine:
    want = plan.wants[at]
    return UncutLine(
        what=_what(cat, want), sets=sets, claim=_claim(want),
        ribbon=cat.ribbon_name(want.ribbon),
    )  # fmt: skip


def _level(led: Ledgers, level: Level) -> CutLevel:
    def shown(amount: int) -> str:
        if level.what != "unusable end":
            return f"{amount:,}" if amount else "none"
        return naming.length(led, amount) if amount else "none"

    return CutLevel(
        what=level.what, name=NAMES[level.what], value=level.value,
        shown=shown(level.value), bound=level.bound, bound_shown=shown(level.bound),
        proved=level.proved,
    )  # fmt: skip


def _done(led: Ledgers, asked: str, claims: Sequence[str]) -> str:
    """Give what to type when the list is cut: it names the log it was made from."""
    words = f" {shlex.quote(asked)}" if asked else ""
    words += "".join(f" --for {claim}" for claim in claims)
    return f"bows cutting{words} --done --head {short_hash(led.head_hash)}"


def _rests_on(
    led: Ledgers, plan: CuttingPlan, runs: Sequence[Run], allowed: Allowance
) -> Iterator[str]:
    yield "What the books say is left on each spool; bows read S7 31yd puts one right."
    usable = naming.length(led, plan.usable)
    yield f'Ends from {usable} on are of use (bows setting "end worth keeping").'
    yield from _over_cut(led, plan, allowed)
    touched = {one.run for one in plan.runs}
    slack = [run.spool for run in runs if run.slack and run in touched]
    if slack:
        named = ", ".join(dict.fromkeys(slack))
        yield f"A part's length stays free for a join not yet found: {named}."
    ribbons = {want.ribbon for want in plan.wants}
    kept = [one.spool for one in spools(led) if one.ends and one.ribbon in ribbons]
    if kept:
        yield f"Ends kept apart are not planned with: {', '.join(kept)}."


def _over_cut(led: Ledgers, plan: CuttingPlan, allowed: Allowance) -> Iterator[str]:
    """Say what is allowed for over-cut, to come and since the spools were read."""
    if not plan.wants:
        return
    if not allowed.sure:
        yield f"No over-cut is allowed for: {allowed.why}."
        return
    sure = f"{allowed.sure * 100:.4g} %"
    yield (
        f"Over-cut is allowed for: {_a_part(led, plan, allowed)}, {sure} sure to be "
        f"enough on average (from {allowed.parts:,} parts cut). What is then left has "
        "it taken off; the books take off the lengths told."
    )
    gone = {x.run.spool: x.run.gone for x in plan.runs if x.run.gone}
    if gone:
        named = ", ".join(f"{naming.length(led, nm)} off {s}" for s, nm in gone.items())
        yield f"Over-cut since they were last read has likely taken {named}."


def _a_part(led: Ledgers, plan: CuttingPlan, allowed: Allowance) -> str:
    """Give the allowance, role by role where it differs."""
    roles = dict.fromkeys(part.role for want in plan.wants for part in want.parts)
    each = {role: naming.length(led, nm) if nm else "nothing"
            for role in roles for nm in (allowed.of(role),)}  # fmt: skip
    if len(set(each.values())) == 1:
        return f"{next(iter(each.values()))} a part"
    return ", ".join(f"{said} a {role}" for role, said in each.items())


def _odd(led: Ledgers, plan: CuttingPlan) -> Iterator[Oddity]:
    """Name spools of these ribbons that the books can't be trusted on."""
    ribbons = {want.ribbon for want in plan.wants}
    for one in spools(led):
        if one.ribbon not in ribbons:
            continue
        if one.left < 0:
            yield Oddity(
                about=one.spool, what="more was cut than the records had on it",
                instead=f"bows read {one.spool} LENGTH",
            )  # fmt: skip
        elif any(not k.event.left for k in led.page("joins", one.spool)):
            yield Oddity(
                about=one.spool, what="how much lies behind its join was never told",
                instead=f"bows spool join {one.spool} LENGTH",
            )  # fmt: skip
