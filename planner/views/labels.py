"""A sheet of batch labels to print and cut out."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Report, Swatch


class LabelSheet(Report):
    """Labels of one batch, all alike."""

    schema_name: ClassVar[str] = "spool-to-stall/labels/1"
    title: ClassVar[str] = "Batch labels"
    template: ClassVar[str] = "labels.html.j2"

    batch: str
    """The batch's code."""
    kind: str
    """What it is, in full."""
    swatches: tuple[Swatch, ...]
    """Its colours."""
    count: int
    """How many labels."""
    maker: str
    """Who made it."""
    place: str
    """Where it was made; empty when she never told."""
    made_on: str
    """ISO day the batch was made."""
    made: str
    """The same in words."""
    code_text: str
    """What the square code holds."""
    code_size: int
    """Its width in modules, quiet zone included."""
    code_path: str
    """Its dark modules as an SVG path."""
    missing: tuple[str, ...]
    """What a tracking label asks to be ascertainable and isn't told yet."""
    cautions: tuple[str, ...]
    """What to know before using them."""
