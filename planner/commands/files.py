"""Files she names: found as she typed them, and nothing of hers ever written over."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from planner.errors import Refusal, Unknown, Unreadable
from planner.values.text import quoted

if TYPE_CHECKING:
    from planner.views.common import Report

PAGE: Final = b"<!DOCTYPE html>"
"""How a page begins, so that one may be written in place of another."""


def named(told: str) -> Path:
    """
    Give the file or folder she names; ``~`` is her own folder.

    Raises:
        Unreadable: when no file can be called so.
        Unknown: for the folder of a user there is none of.
    """
    if told == "-":
        raise Unreadable(
            '"-" is no file here; only bows csv writes to it.', instead="./-"
        )
    if not told or "\0" in told:
        raise Unreadable(f"No file is called {quoted(told)}.", instead="another name")
    try:
        return Path(told).expanduser()
    except RuntimeError as error:
        raise Unknown(
            f"{quoted(told)} is the folder of a user this computer doesn't know.",
            instead="a name without the ~",
        ) from error


def spare_hers(path: Path, *, begins: bytes) -> None:
    """
    See that nothing is there, or a file that begins as ours do.

    Raises:
        Refusal: for any other file; an OSError where the place itself is no good.
    """
    if not path.exists() and not path.is_symlink():
        return
    with path.open("rb") as there:
        if there.read(len(begins)) == begins:
            return
    raise Refusal(
        f"{path} is there already, and is no such file of this program; it is left "
        "alone.",
        instead="name another file",
    )


def renew(path: Path, data: bytes, *, begins: bytes) -> Path:
    """
    Write a file that only its owner may read, whole or not at all.

    Raises:
        Refusal: when something is there that doesn't begin as ours do.
    """
    spare_hers(path, begins=begins)
    try:
        _replace(path, data)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error
    return path


def _replace(path: Path, data: bytes) -> None:
    import tempfile  # most commands write no file

    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as made:
            made.write(data)
        os.replace(name, path)
    finally:
        with suppress(OSError):
            os.unlink(name)


def write_page(view: Report, *, out: Path) -> Path:
    """Write the page of a view to a file, in place of an older page at most."""
    from planner.pages import page

    text = page(view).encode()
    out.parent.mkdir(parents=True, exist_ok=True)
    return renew(out, text, begins=PAGE)
