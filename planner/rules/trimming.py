"""The rule that takes a recommended cut length as a pattern's next revision."""

from __future__ import annotations

from planner.errors import Absurd, Unknown
from planner.events.catalogue import Part, PatternRevised, Step, SupplyNeed
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, proposal
from planner.rules.bench import length_words
from planner.values.moments import When


def cut_to(
    led: Ledgers, *, pattern: str, role: str, length: int, when: When
) -> Proposal:
    """
    Propose a pattern's next revision, one part cut to a new length (nm).

    Raises:
        Unknown: when the pattern has no such part.
        Absurd: when it is cut to that length already.
    """
    old = catalogue(led).patterns[pattern]
    before = {name: nm for name, nm, _ in old.parts}
    if role not in before:
        raise Unknown(
            f"{old.name} has no part {role!r}.", instead=f"one of: {', '.join(before)}"
        )
    if before[role] == length:
        raise Absurd(
            f"{old.name} is cut to {length_words(led, length)} already.",
            instead="bows trim",
        )
    event = PatternRevised(
        pattern=pattern, revision=old.revision + 1, name=old.name, size=old.size,
        width=old.width,
        parts=tuple(
            Part(role=name, length=length if name == role else nm, count=count)
            for name, nm, count in old.parts
        ),
        supplies=tuple(SupplyNeed(supply=a, count=b) for a, b in old.supplies),
        steps=tuple(Step(name=a, seconds=b, optional=c) for a, b, c in old.steps),
        set_up=old.set_up, setting=old.setting,
    )  # fmt: skip
    said = (
        f"{old.name}, revision {event.revision}: {role} cut to "
        f"{length_words(led, length)} instead of {length_words(led, before[role])}"
    )
    return proposal([event], when, said)
