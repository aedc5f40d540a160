"""Why a balance is what it is: the entries behind it, in order."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Report, View


class WhyRow(View):
    """One line of a timeline."""

    entry: int
    """Number of the entry that wrote it; 0 for a supposed or a missing one."""
    seq: int
    """Its event's place in the log; 0 where an entry is missing."""
    happened: str
    """The day or moment it happened."""
    what: str
    """What it was."""
    change_amount: int
    """What it changed, signed, in the ledger's unit."""
    change: str
    """The same, ready to show."""
    then_amount: int
    """What the account held after it."""
    then: str
    """The same, ready to show."""


class Why(Report):
    """The entries behind one account of one thing."""

    schema_name: ClassVar[str] = "spool-to-stall/why/1"
    title: ClassVar[str] = "Why"
    template: ClassVar[str] = ""

    about: str
    """What was asked about."""
    account: str
    """Which of its accounts, by the name the ledgers give it."""
    account_name: str
    """The same, ready to show."""
    amount: str
    """What it holds, ready to show."""
    amount_raw: int
    """The same, in the ledger's unit."""
    accounts: tuple[tuple[str, str], ...] = ()
    """All its accounts with what they hold."""
    rows: tuple[WhyRow, ...] = ()
    """The lines that made it so, in order of when they happened."""
