"""
Details of people, kept beside the log; an event holds only a sealed commitment.

The seal is the SHA-256 of a salt of 16 random bytes and the text.  Once text and salt
are deleted, nothing of the text can be had from the seal, and the chain still verifies.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from hmac import compare_digest
from typing import Any

from planner.errors import LogTrouble, Unreadable
from planner.events.base import Entry, PrivateText
from planner.log.codec import encode, parse

SALT = 16
"""Bytes of a salt."""

PrivateRow = tuple[str, str, str, str, bytes]
"""key, person, field, text, salt."""

_ALL = "SELECT key, person, field, text, salt FROM private"


@dataclass(frozen=True, slots=True)
class Detail:
    """One text about a person; `field` says what it is (name, address, note)."""

    key: str
    field: str
    text: str


def seal(salt: bytes, text: str) -> str:
    """Commit to a text with a salt; 64 hex digits."""
    return sha256(salt + text.encode()).hexdigest()


def verify_seal(digest: str, *, salt: bytes, text: str) -> bool:
    """Say whether a text and its salt are those that were sealed."""
    return compare_digest(seal(salt, text), digest)


def new_private(
    person: str, field: str, text: str, rand: Callable[[int], bytes]
) -> PrivateText:
    """
    Make a text about a person ready to be kept, with a new key and a new salt.

    Raises Unreadable for a broken character.
    """
    key, salt = rand(16).hex(), rand(SALT)
    try:
        digest = seal(salt, text)
    except UnicodeEncodeError as error:
        raise Unreadable(
            f"This {field} holds a character that can't be kept.",
            instead="Type it anew, letter by letter.",
        ) from error
    return PrivateText(
        key=key, person=person, field=field, text=text, salt=salt, seal=digest
    )


def check_sealed(entry: Entry) -> None:
    """Raise LogTrouble unless each private text is sealed by an event of its entry."""
    if not entry.private:
        return
    seals: dict[str, str] = {}
    for fact in entry.facts:
        seals.update(seals_in(encode(fact.event)))
    for kept in entry.private:
        fits = verify_seal(kept.seal, salt=kept.salt, text=kept.text)
        if not fits or seals.get(kept.key) != kept.seal:
            raise LogTrouble(
                f"The {kept.field} of a person doesn't fit its seal.",
                instead="Type it anew; this is a fault of the program.",
            )


def seals_in(body: bytes) -> dict[str, str]:
    """Find the seals in the body of an event, by key."""
    return dict(_seals(parse(body))) if b'"seal"' in body else {}


def _seals(value: Any) -> Iterator[tuple[str, str]]:
    if isinstance(value, list):
        for item in value:
            yield from _seals(item)
    elif isinstance(value, dict):
        if value.keys() == {"key", "seal"}:
            yield value["key"], value["seal"]
        for item in value.values():
            yield from _seals(item)


def insert(db: sqlite3.Connection, rows: Iterable[PrivateRow]) -> None:
    """Write rows into the private table, inside the transaction at hand."""
    db.executemany("INSERT INTO private VALUES (?, ?, ?, ?, ?)", rows)


def row_of(kept: PrivateText) -> PrivateRow:
    """Give the row of a private text."""
    return (kept.key, kept.person, kept.field, kept.text, kept.salt)


def all_rows(db: sqlite3.Connection) -> list[PrivateRow]:
    """Read the whole private table, what was entered first coming first."""
    return db.execute(f"{_ALL} ORDER BY rowid").fetchall()


def details(db: sqlite3.Connection, person: str) -> tuple[Detail, ...]:
    """Read what is kept about one person, oldest first."""
    found = db.execute(f"{_ALL} WHERE person = ? ORDER BY rowid", (person,)).fetchall()
    return tuple(Detail(key, field, text) for key, _, field, text, _ in found)


def everybody(db: sqlite3.Connection) -> Mapping[str, tuple[Detail, ...]]:
    """Read what is kept about everybody, by person."""
    people: dict[str, tuple[Detail, ...]] = {}
    for key, person, field, text, _ in db.execute(f"{_ALL} ORDER BY rowid").fetchall():
        people[person] = (*people.get(person, ()), Detail(key, field, text))
    return people


def texts(db: sqlite3.Connection, keys: Iterable[str]) -> dict[str, str]:
    """Read the texts of these keys; what was forgotten is left out."""
    ask = "SELECT text FROM private WHERE key = ?"
    found = {key: db.execute(ask, (key,)).fetchone() for key in keys}
    return {key: row[0] for key, row in found.items() if row is not None}


def delete(db: sqlite3.Connection, person: str) -> int:
    """Delete texts and salts of a person, inside the transaction at hand; how many."""
    return db.execute("DELETE FROM private WHERE person = ?", (person,)).rowcount
