"""
The errors she can meet, as one tree.

::

    Trouble                     anything this tool raises on purpose
    ├── Refusal                 can't be taken as typed; nothing is written (exit 2)
    │   ├── Unreadable          a length, day, amount or word that can't be read
    │   ├── Absurd              it reads well but can't be meant (zero, 80 years off)
    │   ├── Unknown             no such kind, spool, order, fair, command word ...
    │   ├── Ambiguous           it fits more than one thing; the choices are listed
    │   ├── NoShop              no shop file where she asked for one
    │   └── Stale               a plan or question made from an older log
    └── LogTrouble              the shop file itself (exit 2, with what to do)
        ├── NotAShop            the file is no shop file, or of a newer format
        ├── Damaged             an event that can't be what was written
        ├── HeadMoved           somebody appended since the rules looked
        └── Busy                another program holds the file for too long
"""

from __future__ import annotations


class Trouble(Exception):
    """Raised for anything this tool says on purpose; the root of the tree."""

    def __init__(self, what: str, *, instead: str = "") -> None:
        """Keep what is wrong, and what to type instead (one line, may be empty)."""
        super().__init__(what)
        self.what = what
        self.instead = instead

    def __str__(self) -> str:
        return f"{self.what}\n{self.instead}" if self.instead else self.what


class Refusal(Trouble):
    """Raised when what she typed can't be taken; nothing has been written."""


class Unreadable(Refusal):
    """Raised when a length, day, amount or word can't be read."""


class Absurd(Refusal):
    """Raised when a value reads well but can't be meant."""


class Unknown(Refusal):
    """Raised when nothing of that name exists."""


class Ambiguous(Refusal):
    """Raised when a name fits more than one thing."""


class NoShop(Refusal):
    """Raised when there is no shop file where one was asked for."""


class Stale(Refusal):
    """Raised when a plan rests on an older log than today's."""


class LogTrouble(Trouble):
    """Raised for trouble with the shop file itself."""


class NotAShop(LogTrouble):
    """Raised when a file is no shop file, or is of a newer format."""


class Damaged(LogTrouble):
    """Raised when an event can't be what was once written."""


class HeadMoved(LogTrouble):
    """Raised when the log has grown since the rules looked at it."""


class Busy(LogTrouble):
    """Raised when another program holds the shop file for too long."""


class CacheLost(Exception):
    """
    Raised when the throw-away cache can't be read as it was written.

    It is no trouble of hers: the command is run anew without a cache.
    """
