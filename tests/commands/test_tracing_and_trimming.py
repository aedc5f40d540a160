"""Traces, label sheets, cut lengths and all spools, typed on the demo shop."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .conftest import Typed


def _json(typed: Typed, line: str) -> dict:
    said = typed(f"{line} --json")
    assert said.code == 0, said.err
    return json.loads(said.out)


def test_a_spool_is_traced_in_words_json_and_a_page(
    demo: Typed, tmp_path: Path
) -> None:
    page = tmp_path / "trace.html"
    said = demo(f"trace s7 --page {page}")
    view = _json(demo, "trace S7")

    assert said.code == 0
    assert view["schema"] == "spool-to-stall/trace/1"
    assert (view["code"], view["forward"]) == ("S7", True)
    assert view["short"] in said.out
    assert view["batches"]
    for batch in view["batches"]:
        assert batch["code"] in said.out
        assert batch["here_least"] <= batch["here_likely"] <= batch["here_most"]
        assert f"b-{batch['code']}" in page.read_text("utf-8")


def test_back_and_forth_name_the_same_links(demo: Typed) -> None:
    """Each known batch of a spool names that spool when it is traced back."""
    batches = [
        b["code"] for b in _json(demo, "trace S7")["batches"] if b["sure"] == "known"
    ]
    for code in batches[:4]:
        sources = _json(demo, f"trace {code}")["sources"]
        assert "S7" in [s["what"] for s in sources if s["sure"] == "known"]


def test_an_order_is_traced_to_batches_and_spools(demo: Typed) -> None:
    orders = _json(demo, "orders --all")["orders"]
    code = next(o["order"] for o in orders if o["state"] == "handed over")
    view = _json(demo, f"trace {code}")

    assert (view["code"], view["forward"]) == (code, False)
    assert {s["batch"] for s in view["sources"]} <= {b["code"] for b in view["batches"]}


def test_what_cannot_be_traced_says_what_can(demo: Typed) -> None:
    said = demo("trace navy")

    assert (said.code, said.out) == (2, "")
    assert "bows trace S7" in said.err


def test_a_label_sheet_holds_maker_place_date_batch_and_a_code(
    demo: Typed, tmp_path: Path
) -> None:
    sheet = tmp_path / "labels.html"
    before = demo(f"labels 12 B12 --page {sheet}")
    page = sheet.read_text("utf-8")
    assert "not told yet: where they are made" in before.err
    assert 'bows setting "place of making"' in before.err
    assert "local law" in page
    unprinted = page.split('<section class="not-printed">')[1].split("</section>")[0]
    assert "local law" not in unprinted
    assert page.count('<li class="label">') == 12
    assert page.count("<strong><bdi>B12</bdi></strong>") == 12

    assert demo('setting "place of making" "Harbour Reach"').code == 0
    assert demo(f"labels 3 B12 --page {sheet}").code == 0
    assert "Harbour Reach" in sheet.read_text("utf-8")


def test_labels_without_a_page_only_enter_them(demo: Typed) -> None:
    said = demo("labels 12 B12 --dry-run")

    assert said.code == 0
    assert "12 labels" in said.out


def test_all_spools_sum_to_their_openings(demo: Typed, tmp_path: Path) -> None:
    page = tmp_path / "spools.html"
    assert demo(f"story --all --page {page}").code == 0
    view = _json(demo, "story --all")

    assert view["schema"] == "spool-to-stall/stories/2"
    for row in view["ribbons"]:
        assert sum(x["length_nm"] for x in row["accounts"]) == row["opening_nm"]
    lost = [row["lost_nm"] for row in view["ribbons"]]
    assert lost == sorted(lost, reverse=True)
    assert 'class="band"' in page.read_text("utf-8")
    assert view["rule"] in page.read_text("utf-8")


def test_a_lots_labels_are_told_apart_from_over_cut(demo: Typed) -> None:
    """Each with its interval, in words as on the page; those never read say so."""
    view, said = _json(demo, "story --all"), demo("story --all").out
    told = [lot for lot in view["lots"] if lot["likely_share"] is not None]

    assert len(told) > 5
    assert all(x["low_share"] < x["likely_share"] < x["high_share"] for x in told)
    assert {lot["mean_nm"] is None for lot in view["lots"]} == {True, False}
    assert "none read before its first cut" in said
    assert told[0]["interval"] in said


def test_a_story_says_what_was_inferred_and_what_was_typed_late(demo: Typed) -> None:
    """In words too, as its page and its JSON do."""
    view, said = _json(demo, "story S34"), demo("story S34").out
    late = [event for event in view["events"] if event["late"]]
    piece = next(x for x in view["strip"] if x["how"] == "inferred")

    assert said.count("(inferred)") == sum(x["how"] == "inferred"
                                           for x in view["strip"])  # fmt: skip
    assert piece["went_to"]
    assert late
    assert said.count("typed late, ") == len(late)


def test_cut_lengths_are_shown_with_what_they_rest_on(demo: Typed) -> None:
    view = _json(demo, "trim")

    assert view["schema"] == "spool-to-stall/cut-lengths/1"
    assert view["promise"] == "95 % sure that no more than 5 % of the bows come out " \
        "too short"  # fmt: skip
    assert all((x["length_nm"] is None) == (x["bows"] < 8) for x in view["lines"])
    assert all("can't tell" in x["counted"] for x in view["lines"] if x["bows"] < 59)


def test_a_recommended_length_becomes_the_next_revision(demo: Typed) -> None:
    lines = _json(demo, "trim --short 30 --sure 80")["lines"]
    line = next(x for x in lines if x["accept"])
    accept = line["accept"].removeprefix("bows ")
    assert "--short 30" in accept
    assert "--sure 80" in accept
    said = demo(f"{accept} --json")
    written = json.loads(said.out)["events"][0]

    assert written["kind"] == "pattern-revised"
    parts = {part["role"]: part["length"] for part in written["parts"]}
    assert parts[line["role"]] == line["length_nm"]
    again = next(
        x for x in _json(demo, "trim --short 30 --sure 80")["lines"]
        if (x["pattern"], x["role"]) == (line["pattern"], line["role"])
    )  # fmt: skip
    assert again["now_nm"] == line["length_nm"]


def test_a_length_that_is_taken_already_is_refused(demo: Typed) -> None:
    line = next(
        x for x in _json(demo, "trim")["lines"]
        if x["length_nm"] is not None and x["length_nm"] == x["now_nm"]
    )  # fmt: skip
    said = demo(["trim", *line["pattern"].split(), "--accept"])

    assert said.code == 2
    assert "already" in said.err


def test_a_new_size_gets_a_range_called_a_guess(demo: Typed) -> None:
    view = _json(demo, "trim --new 4in --width 1.5in")

    assert view["low_nm"] > 20 * 25_400_000
    assert view["high_nm"] < 32 * 25_400_000
    assert view["note"].startswith("A guess")


@pytest.mark.parametrize("line", ["trim --sure 100", "trim --short 0", "trim --accept"])
def test_what_makes_no_sense_is_refused(demo: Typed, line: str) -> None:
    said = demo(line)

    assert said.code == 2
    assert "try:" in said.err
