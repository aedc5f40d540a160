"""Names of people: kept where they can be forgotten, and nowhere else."""

from __future__ import annotations

import re

from planner.errors import Refusal
from planner.log.store import Log
from planner.rules.base import Proposal
from planner.values.text import quoted

_FREE = ("why", "note", "text")
"""Fields of events that hold free words, and hold them for good."""


def refuse_lasting(proposed: Proposal, log: Log) -> None:
    """
    See that the free words of an entry name nobody who might ask to be forgotten.

    Raises:
        Refusal: when they hold the name of a person noted, as whole words.
    """
    words = _free_words(proposed)
    if not words:
        return
    for key, details in log.all_people().items():
        for name in (detail.text for detail in details if detail.field == "name"):
            if re.search(rf"(?<!\w){re.escape(name)}(?!\w)", words, re.IGNORECASE):
                raise Refusal(
                    f"{quoted(name)} is {key}, and these words are kept for good.",
                    instead=f"the same without the name, or: bows note --person {key} "
                    '"..."   (with bows --yes the name is kept)',
                )


def _free_words(proposed: Proposal) -> str:
    found = (getattr(fact.event, name, "") for fact in proposed.facts for name in _FREE)
    return "\n".join(words for words in found if isinstance(words, str) and words)
