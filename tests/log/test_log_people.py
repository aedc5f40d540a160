"""Details of people stand beside the log and can be forgotten without a trace."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from log_toys import TOYS, add, all_rows, cut, fill, guest, seeded

from planner.errors import LogTrouble, Unreadable
from planner.events.base import Entry, Fact
from planner.log.check import check_log
from planner.log.people import Detail, new_private, seal, seals_in, verify_seal
from planner.log.store import Log

_ILSE, _MAREN = "Ilse Brandt-Övergård", "Maren Holm"


def _kept(entry: Entry) -> tuple[str, bytes]:
    return entry.private[0].key, entry.private[0].salt


@given(st.binary(min_size=16, max_size=16), st.text(st.characters(codec="utf-8")))
def test_a_seal_is_the_hash_of_salt_and_text(salt: bytes, text: str) -> None:
    digest = sha256(salt + text.encode()).hexdigest()

    assert seal(salt, text) == digest
    assert verify_seal(digest, salt=salt, text=text)
    assert not verify_seal(digest, salt=salt, text=text + ".")


def test_two_texts_alike_have_two_keys_and_two_seals() -> None:
    """Nobody can see from the log that two people live at one address."""
    rand = seeded()
    one, two = (new_private("P1", "address", "Quay 3", rand) for _ in range(2))

    assert (one.text, one.person) == (two.text, two.person)
    assert len({one.key, two.key}) == len({one.seal, two.seal}) == 2


def test_a_broken_character_in_a_name_is_refused() -> None:
    with pytest.raises(Unreadable, match="This name holds a character"):
        new_private("P1", "name", "\ud83d", seeded())


def test_seals_are_found_wherever_they_stand_in_a_body() -> None:
    body = (
        b'{"a":{"key":"k1","seal":"s1"},"b":[{"c":{"key":"k2","seal":"s2"}}],"seal":1}'
    )

    assert seals_in(body) == {"k1": "s1", "k2": "s2"}
    assert seals_in(b'{"spool":"S7"}') == {}


def test_details_are_kept_by_person_and_found_by_key(log: Log) -> None:
    ilse, maren = (
        guest("P1", name=_ILSE, rand=seeded(1)),
        guest("P2", name=_MAREN, rand=seeded(2)),
    )
    later = guest("P1", name="Ilse Holm", rand=seeded(3))
    add(log, ilse, maren, later)

    assert log.all_people() == {
        "P1": (
            Detail(_kept(ilse)[0], "name", _ILSE),
            Detail(_kept(later)[0], "name", "Ilse Holm"),
        ),
        "P2": (Detail(_kept(maren)[0], "name", _MAREN),),
    }
    assert log.details("P1") == log.all_people()["P1"]
    assert log.details("P9") == ()
    assert log.texts([_kept(maren)[0], "gone"]) == {_kept(maren)[0]: _MAREN}


def test_names_are_not_in_the_events(log: Log) -> None:
    add(log, guest("P1", name=_ILSE, rand=seeded()))

    assert all(b"Ilse" not in row[7] for row in all_rows(log))
    assert log.seals() == {
        kept[0]: seal(kept[4], kept[3]) for kept in log.private_rows()
    }


@pytest.mark.parametrize("size", [1, 200, 9000])
def test_who_is_forgotten_leaves_no_trace_and_the_chain_verifies(
    log: Log, shop: Path, size: int
) -> None:
    """Names that fill a cell, a part of a page, and pages of overflow."""
    rand, name = seeded(), f"<{_ILSE * size}>"
    fill(log, 40)
    gone = [guest("P1", name=name, rand=rand) for _ in range(30)]
    add(log, guest("P2", name=_MAREN, rand=rand), *gone)
    traces = [_ILSE.encode(), *(_kept(entry)[1] for entry in gone)]
    before, stored = all_rows(log), shop.read_bytes()

    assert log.forget("P1") == 30

    files = b"".join(path.read_bytes() for path in shop.parent.iterdir())
    assert all(trace in stored for trace in traces)
    assert [trace for trace in traces if trace in files] == []
    assert all_rows(log) == before
    assert check_log(log).faults == ()
    assert [detail.text for detail in log.all_people()["P2"]] == [_MAREN]
    assert list(shop.parent.iterdir()) == [shop]


def test_the_guards_still_stand_after_somebody_was_forgotten(log: Log) -> None:
    """The file is written anew for it; its shape must come through."""
    add(log, guest("P1", name=_ILSE, rand=seeded()), cut())
    log.forget("P1")
    add(log, cut())

    assert check_log(log).lines()[1] == "Each is as it was written."


def test_forgetting_nobody_does_nothing(log: Log) -> None:
    assert log.forget("P1") == 0


def test_a_private_text_without_its_event_is_never_written(log: Log) -> None:
    kept = guest("P1", name=_ILSE, rand=seeded()).private
    bare = Entry(facts=(Fact(cut().facts[0].event, "2026-11-25"),), private=kept)

    with pytest.raises(LogTrouble, match="The name of a person doesn't fit its seal"):
        add(log, bare)

    assert log.private_rows() == []


def test_a_key_is_never_used_twice(log: Log) -> None:
    add(log, guest("P1", name=_ILSE, rand=seeded(1)))

    with pytest.raises(LogTrouble, match="a text of this key is kept already"):
        add(log, guest("P2", name=_MAREN, rand=seeded(1)))

    assert log.head().seq == 1
    with Log.open(log.path, using=TOYS) as again:
        assert list(again.all_people()) == ["P1"]
