"""Options and arguments that many commands share."""

from __future__ import annotations

from typing import Annotated

import typer

On = Annotated[
    str | None,
    typer.Option(
        "--on",
        help='When it happened, if not now: "yesterday", "sat 14:30", "about 3 nov".',
    ),
]
DryRun = Annotated[
    bool, typer.Option("--dry-run", help="Show what it would change; write nothing.")
]
Json = Annotated[bool, typer.Option("--json", help="Answer with one JSON object.")]
AsOf = Annotated[
    str | None,
    typer.Option("--as-of", help="What had happened by the end of that day."),
]
KnownOn = Annotated[
    str | None,
    typer.Option("--known-on", help="What had been typed by the end of that day."),
]
Place = Annotated[
    str | None,
    typer.Option("--at", help="Where: home, a boutique, a fair's stall."),
]
FromSpool = Annotated[
    str | None, typer.Option("--from", help="The spool it came from, such as S7.")
]
BatchCode = Annotated[
    str | None, typer.Option("--batch", help="The batch on the label, such as B12.")
]
Words = Annotated[list[str], typer.Argument(help="The kind: size and colour.")]
