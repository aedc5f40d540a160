"""
A backup that proves itself: copied, opened, checked and compared before it counts.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from planner.errors import Damaged
from planner.log.chain import Head, length_prefixed
from planner.log.check import check_log
from planner.log.faults import told
from planner.log.files import appearing
from planner.log.opening import connect
from planner.log.store import Log

Refold = Callable[[Log], str]
"""Folds a log anew and gives a fingerprint of what comes out."""


@dataclass(frozen=True, slots=True)
class Backup:
    """A proven copy: where it is, where it ends, and what it is the same as."""

    path: Path
    head: Head
    fingerprint: str


def back_up(log: Log, target: Path, *, refold: Refold | None = None) -> Backup:
    """
    Copy a log to a new file and prove that it is the same.

    Other programs can read meanwhile; one that enters something waits.  Raises
    Damaged when the copy isn't whole and equal, LogTrouble when something of that
    name is there; then no file is left.
    """
    with told(target), log.snapshot(), appearing(target) as made:
        _copy(log, made)
        with Log.open(made, readonly=True, using=log.registry) as copy:
            _refuse_damaged(copy, log.path)
            head, print_ = copy.head(), fingerprint(copy, refold=refold)
        if print_ != fingerprint(log, refold=refold):
            raise Damaged(
                f"The copy of {log.path} is not the same; none was kept.",
                instead="Back up to another disk, and see that this one is whole.",
            )
    return Backup(path=target, head=head, fingerprint=print_)


def fingerprint(log: Log, *, refold: Refold | None = None) -> str:
    """Hash the head, all private rows and, if asked, what folds out; 64 hex digits."""
    head = log.head()
    parts = [str(head.seq).encode(), str(head.entry).encode(), head.hash]
    for key, person, field, text, salt in log.private_rows():
        words = (word.encode() for word in (key, person, field, text))
        parts.append(length_prefixed(*words, salt))
    parts.append(refold(log).encode() if refold else b"")
    return sha256(length_prefixed(*parts)).hexdigest()


def _copy(log: Log, made: Path) -> None:
    with closing(connect(made)) as copy:
        log.db.backup(copy)


def _refuse_damaged(copy: Log, source: Path) -> None:
    report = check_log(copy)
    if report.faults:
        raise Damaged(
            f"{source} is damaged, so no backup was made. {report.faults[0]}",
            instead="`bows check` names all that is damaged; keep the older backups.",
        )
