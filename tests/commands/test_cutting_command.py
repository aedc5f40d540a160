"""`bows cutting`: the list shown, printed, and entered when it is cut."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest

from planner.commands import main
from tests.commands.conftest import Said, Typed


@pytest.fixture(autouse=True)
def _listed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the command be found by its name, whatever the table says."""
    monkeypatch.setitem(main.WHERE, "cutting", "cutting:cutting")


def cuts_of(said: Said) -> list[tuple[str, str, int, int]]:
    """Spool, role, length and count of a list, added up."""
    found: dict[tuple[str, str, int], int] = {}
    for run in json.loads(said.out)["runs"]:
        for cut in run["cuts"]:
            key = run["spool"], cut["role"], cut["length_nm"]
            found[key] = found.get(key, 0) + cut["count"]
    return sorted((*key, count) for key, count in found.items())


def entered(said: Said) -> list[tuple[str, str, int, int]]:
    """The same of an entry's cuts."""
    events = [e for e in json.loads(said.out)["events"] if e["kind"] == "ribbon-cut"]
    return sorted((e["spool"], e["role"], e["length"], e["count"]) for e in events)


def test_what_is_named_is_listed_spool_by_spool(small: Typed) -> None:
    """A box to tick a line, what is left after it, and what to type when it is cut."""
    said = small("cutting 12 4in navy, 6 4in red")

    assert said.code == 0, said.err
    assert re.search(r"^S1 \(navy 1 1/2 in", said.out, re.M)
    assert "[ ]" in said.out
    assert "No list could do better" in said.out
    assert re.search(
        r"when it is cut: bows cutting '12 4in navy, 6 4in red' --done --head", said.out
    )


def test_what_was_printed_is_what_is_entered(small: Typed) -> None:
    """In one entry, as the list had it, though the log has moved on meanwhile."""
    listed = small("cutting 12 4in navy, 6 4in red --json")
    typed = json.loads(listed.out)["done"]
    assert small("sold 1 4in red").code == 0

    said = small([*shlex.split(typed)[1:], "--json"])

    assert said.code == 0, said.err
    assert entered(said) == cuts_of(listed)
    assert json.loads(said.out)["events"][0]["kind"] == "cutting-plan-accepted"


def test_one_spool_of_a_list_is_entered_alone(small: Typed) -> None:
    """First what came from S2, then the rest, from the same printed list."""
    listed = small("cutting 12 4in navy, 6 4in red --json")
    typed = shlex.split(json.loads(listed.out)["done"])[1:]

    red = small([*typed, "--spool", "S2", "--json"])
    navy = small([*typed, "--spool", "S1", "--json"])

    assert {cut[0] for cut in entered(red)} == {"S2"}
    assert sorted(entered(red) + entered(navy)) == cuts_of(listed)


def test_a_dry_run_writes_nothing(small: Typed) -> None:
    """It says what it would enter."""
    said = small("cutting 12 4in navy --done --dry-run")
    after = small("bundles")

    assert "nothing was written" in said.err
    assert "bundle C1" in said.out
    assert "C1" not in after.out


def test_orders_are_cut_for_until_their_parts_wait(small: Typed) -> None:
    """What is still to make is listed; once cut, nothing is."""
    assert small('order take "6 4in navy" --due fri --for "Jo Fenn"').code == 0

    first = small("cutting")
    assert small("cutting --done").code == 0
    then = small("cutting")

    assert "O1" in first.out
    assert then.out.startswith("Nothing is to cut")


def test_one_order_is_cut_for_alone_and_entered_as_printed(small: Typed) -> None:
    """Its list names it again in what to type when it is cut."""
    assert small('order take "6 4in red" --due fri --for "Jo Fenn"').code == 0
    assert small('order take "20 4in navy" --due "next fri" --for "Jo Fenn"').code == 0

    listed = small("cutting --for o2 --json")
    view = json.loads(listed.out)
    said = small([*shlex.split(view["done"])[1:], "--json"])

    assert {cut["claim"] for run in view["runs"] for cut in run["cuts"]} == {"O2"}
    assert (view["asked"], "--for O2" in view["done"]) == ("O2", True)
    assert entered(said) == cuts_of(listed)


def test_the_next_sittings_are_cut_for_by_the_orders_worked_on_in_them(
    demo: Typed,
) -> None:
    """As `bows bench` has them for the same days."""
    for days in (1, 7):
        bench = json.loads(demo(f"bench --days {days} --json").out)
        view = json.loads(demo(f"cutting --days {days} --json").out)
        worked = {step["order"] for x in bench["sittings"] for step in x["steps"]}
        listed = {cut["claim"] for run in view["runs"] for cut in run["cuts"]}
        lacking = {line["claim"] for line in view["uncut"]}

        assert worked
        assert set(view["asked"].split(", ")) == worked
        assert listed | lacking <= worked


def test_a_fair_is_found_by_a_word_of_its_name(small: Typed) -> None:
    """No plan of its was accepted yet, so it needs nothing cut."""
    assert small('fair new "Spring market" sat 10-16 --fee 60').code == 0
    said = small("cutting --for spring --json")
    assert said.code == 0, said.err
    view = json.loads(said.out)

    assert (view["asked"], view["runs"], view["done"]) == ("F1", [], "")


def test_a_page_is_written_where_she_asks(small: Typed, tmp_path: Path) -> None:
    """To print and tick."""
    out = tmp_path / "cut.html"

    assert small(["cutting", "12", "4in", "navy", "--page", str(out)]).code == 0
    assert 'class="box"' in out.read_text("utf-8")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("cutting --head 1a2b-3c4d-5e6f-7a8b", "--done"),
        ("cutting --spool S1", "--done"),
        ("cutting 4in navy", "try:"),
        ("cutting 12 4in navy --for O1", "one of them"),
        ("cutting --days 3 --for O1", "one of them"),
        ("cutting --days 1", "bows bench"),
        ("cutting --for O77", "O77"),
        ("cutting 12 4in navy --done --head 1a2b-3c4d-5e6f-7a8b", "never at"),
        ("cutting 12 4in navy --done --spool S2", "no such cuts"),
        ("cutting 12 4in navy --done --spool S77", "S77"),
        ("cutting --done", "no such cuts"),
    ],
)
def test_what_cannot_be_taken_is_refused_with_what_to_type(
    small: Typed, line: str, says: str
) -> None:
    """Exit code 2, nothing written."""
    said = small(line)

    assert said.code == 2
    assert says in said.err


def test_the_demo_shop_has_a_list(demo: Typed) -> None:
    """Whatever is still to make there, the list adds up and is entered as it stands."""
    listed = demo("cutting --json")
    said = demo("cutting --done --json")

    assert (listed.code, said.code) == (0, 0), said.err
    assert entered(said) == cuts_of(listed)
