"""The ledgers as tables, and as CSV, for other programs to read."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from planner.commands.main import WHERE
from planner.views.tables import TABLES

NAMES = (
    "about", "colours", "ribbons", "supply_names", "patterns", "pattern_parts",
    "colourways", "sets", "prices", "spools", "sittings", "bundles", "orders",
    "order_lines", "batches", "batch_parts", "stock", "fairs", "fair_sales", "supplies",
    "ribbon_movements", "bows_movements", "supply_movements", "money",
)  # fmt: skip


@pytest.fixture(autouse=True)
def _known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(WHERE, "tables", "tables:tables")
    monkeypatch.setitem(WHERE, "csv", "tables:csv_table")


def read(path: Path, question: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as db:
        return db.execute(question).fetchall()


class TestTables:
    def test_every_ledger_stands_there_as_a_table(self, demo, tmp_path):
        """None is empty in a shop with a year of history."""
        path = tmp_path / "ledgers.db"

        said = demo(["tables", str(path), "--json"])

        assert said.code == 0
        counts = json.loads(said.out)["rows"]
        assert tuple(counts) == NAMES == tuple(TABLES)
        assert all(counts.values())

    def test_the_tables_join(self, demo, tmp_path):
        """Every code that points to another table is found there."""
        path = tmp_path / "ledgers.db"
        demo(["tables", str(path)])

        assert read(path, "PRAGMA foreign_key_check") == []

    def test_lengths_stand_in_nanometres_and_in_yards(self, small, tmp_path):
        """36 in are a yard, 25.4 mm an inch: 100 yd are 91,440,000,000 nm."""
        path = tmp_path / "ledgers.db"
        small("read S2 18in")
        small(["tables", str(path)])

        assert read(
            path, "SELECT spool, label_nm, label_yd, left_nm, left_yd FROM spools"
        ) == [
            ("S1", 91_440_000_000, 100.0, 91_440_000_000, 100.0),
            ("S2", 45_720_000_000, 50.0, 457_200_000, 0.5),
        ]

    def test_money_stands_in_minor_units_and_in_the_currency(self, small, tmp_path):
        """24.50 paid for the first spool."""
        path = tmp_path / "ledgers.db"
        small(["tables", str(path)])

        assert read(path, "SELECT paid_minor, paid FROM spools WHERE spool='S1'") == [
            (2450, 24.5)
        ]

    def test_movements_add_up_to_the_balances(self, demo, tmp_path):
        """A sum of every spool's rows gives what the ledger says is left."""
        path = tmp_path / "ledgers.db"
        demo(["tables", str(path)])

        assert (
            read(
                path,
                """
            SELECT spool, left_nm, moved FROM (
              SELECT s.spool, s.left_nm,
                sum(CASE m.target WHEN 'left' THEN amount_nm ELSE 0 END)
                - sum(CASE m.source WHEN 'left' THEN amount_nm ELSE 0 END) AS moved
              FROM spools s JOIN ribbon_movements m USING (spool) GROUP BY s.spool)
            WHERE left_nm <> max(moved, 0)
            """,
            )
            == []
        )

    def test_nobody_is_named_in_them(self, demo, tmp_path):
        """People stand there only by their keys."""
        path = tmp_path / "ledgers.db"
        demo(["tables", str(path)])
        people = json.loads(demo("people --json").out)["people"]
        content = path.read_bytes()

        assert people
        assert [p["name"] for p in people if p["name"].encode() in content] == []

    def test_its_own_file_is_written_anew(self, small, tmp_path):
        """Made again, it holds what stands today."""
        path = tmp_path / "ledgers.db"
        small(["tables", str(path)])
        small("made 2 4in navy")

        assert small(["tables", str(path)]).code == 0

        assert read(path, "SELECT count(*) FROM batches") == [(1,)]
        assert sorted(p.name for p in tmp_path.iterdir()) == ["ledgers.db", "shop"]

    @pytest.mark.parametrize("kind", ["shop", "text", "other", "empty", "folder"])
    def test_a_file_it_did_not_make_is_left_alone(self, small, tmp_path, kind):
        """Above all the shop's own."""
        path = tmp_path / "mine.db"
        if kind == "shop":
            path = tmp_path / "shop" / "shop.bows"
        elif kind == "text":
            path.write_text("a letter of mine, long enough to be anything at all " * 9)
        elif kind == "other":
            with closing(sqlite3.connect(path)) as db:
                db.execute("CREATE TABLE mine (a)")
        elif kind == "empty":
            path.touch()
        else:
            path.mkdir()
        before = path.read_bytes() if path.is_file() else b""

        said = small(["tables", str(path)])

        assert (said.code, said.out) == (2, "")
        assert "left alone" in said.err
        assert (path.read_bytes() if path.is_file() else b"") == before

    def test_as_of_a_day_they_hold_what_had_happened(self, small, tmp_path):
        """Like any question."""
        path = tmp_path / "ledgers.db"

        small("in white 1.5in 50yd --on 2026-05-14")

        small(["tables", str(path), "--as-of", "today"])

        assert read(path, "SELECT spool FROM spools") == [("S1",), ("S2",)]


class TestCsv:
    def test_a_table_is_written_as_csv(self, small, tmp_path):
        """Commas, CRLF, a header: RFC 4180."""
        path = tmp_path / "stock.csv"

        said = small(["csv", "stock", str(path)])

        assert said.code == 0
        raw = path.read_bytes()
        assert raw.count(b"\r\n") == raw.count(b"\n") == 2
        rows = list(csv.DictReader(io.StringIO(raw.decode(), newline="")))
        assert [(r["place"], r["count"], r["lead_colour"]) for r in rows] == [
            ("home", "6", "red")
        ]

    def test_text_that_looks_like_a_formula_is_made_harmless_and_numbers_stay(
        self, small, tmp_path
    ):
        """Text gets an apostrophe; a number below nothing stays a number."""
        assert small(["colour", "=HYPERLINK(1)", "--hex", "#ff69b4"]).code == 0
        small("read S1 90yd")
        small("cut 2 4in navy")
        small("read S1 80yd")

        names = [line.split(",")[1] for line in small("csv colours").out.splitlines()]
        rows = list(csv.DictReader(io.StringIO(small("csv ribbon_movements").out)))

        assert "'=HYPERLINK(1)" in names
        assert any(row["amount_nm"].startswith("-") for row in rows)
        assert not any(row["amount_nm"].startswith("'") for row in rows)

    def test_a_cell_with_a_quotation_mark_or_a_comma_reads_back(self, small):
        """Marks are doubled, as RFC 4180 says."""
        small(["colour", 'sea "foam", pale', "--hex", "#aaffdd"])

        rows = list(csv.DictReader(io.StringIO(small("csv colours").out)))

        assert 'sea "foam", pale' in [row["name"] for row in rows]

    def test_a_file_that_is_there_is_kept_unless_she_says_so(self, small, tmp_path):
        """It may be her own work."""
        path = tmp_path / "stock.csv"
        path.write_text("mine")

        refused = small(["csv", "stock", str(path)])

        assert refused.code == 2
        assert path.read_text() == "mine"
        assert small(["csv", "stock", str(path), "--replace"]).code == 0
        assert path.read_text().startswith("kind,")

    def test_an_unknown_table_is_refused_with_those_there_are(self, small):
        """All of them."""
        said = small("csv bowls")

        assert said.code == 2
        assert "spools, sittings, bundles" in said.err
