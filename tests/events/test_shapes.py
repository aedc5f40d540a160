"""The fields told for readers without the classes are those of the classes."""

from __future__ import annotations

from typing import Any

import pytest

from planner.events import KINDS
from planner.events.base import Body, Event, body_of
from planner.events.shapes import FIELDS, VERSIONS, fits, shape_of
from planner.fold import HANDLERS
from planner.ledgers.state import At, Ledgers

from .samples import SAMPLES


def _shape(cls: type[Event]) -> tuple[set[str], set[str]]:
    """Say which fields `encode` always writes, and which it may."""
    fields = cls.model_fields.items()
    must = {n for n, f in fields if f.is_required() or f.default is not None}
    return must, set(cls.model_fields)


def test_shapes_are_those_of_the_classes() -> None:
    """Every kind in its newest version, and no other."""
    told = {kind: shape_of(kind) for kind in FIELDS}
    versions = {kind: KINDS[kind].version for kind in KINDS}

    assert told == {kind: _shape(KINDS[kind]) for kind in KINDS}
    assert {k: v for k, v in versions.items() if v > 1} == VERSIONS


@pytest.mark.parametrize("kind", KINDS)
def test_a_body_fits_with_just_its_fields(kind: str) -> None:
    """One field less or more doesn't fit, nor does another version."""
    version, body = KINDS[kind].version, body_of(SAMPLES[kind])
    must, _ = shape_of(kind)

    assert fits(kind, version, body)
    assert fits(kind, version, must)
    assert not any(fits(kind, version, must - {one}) for one in must)
    assert not fits(kind, version, [*body, "nonsense"])
    assert not fits(kind, version + 1, body)


class Asked(dict[str, Any]):
    """A body that notes which of its fields are asked for, and how."""

    def __init__(self, body: Body) -> None:
        super().__init__(body)
        self.taken: set[str] = set()
        self.tried: set[str] = set()

    def __getitem__(self, name: str) -> Any:
        self.taken.add(name)
        return super().__getitem__(name)

    def __contains__(self, name: object) -> bool:
        self.tried.add(str(name))
        return super().__contains__(name)

    def get(self, name: str, default: Any = None) -> Any:
        """Note what is asked for, and that it may be missing."""
        self.tried.add(name)
        return super().get(name, default)


@pytest.mark.parametrize("kind", KINDS)
def test_ledgers_ask_a_body_for_its_fields_and_no_others(kind: str) -> None:
    """What may be left out is tried, and only what always stands there is taken."""
    must, may = shape_of(kind)
    body = Asked(body_of(SAMPLES[kind]))
    for post in HANDLERS[kind]:
        post(Ledgers("America/New_York"), body, At(0, 1, "1970-01-01", 1))

    assert body.taken | body.tried <= may
    assert body.taken <= must | body.tried
