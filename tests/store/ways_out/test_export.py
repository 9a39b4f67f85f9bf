"""Readings as files for other programs: CSV, and JSON that keeps to its published schema."""

import csv
import json
from pathlib import Path

import jsonschema
import pytest
from msgspec.structs import replace

from annotate.quantity import Quantity
from store.book import Book
from store.errors import CannotWrite
from store.evidence import Read, Waiver
from store.ways_out.export import document, first_words, schema, write_csv, write_json
from store.ways_out.listing import CHECKS, READINGS, check_rows, reading_rows
from store.written import acts, bench_acts
from tests.architecture.tree import ROOT
from tests.store.pack.packed import small_book
from tests.store.small_job import WHO, reading


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("export") / "book"
    with small_book(root) as book:
        acts.record_reading(book, reading("OH2.other", -0.2, half_step=0.05), **WHO)
    return root


def lines(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file, strict=True))


def test_the_schema_that_is_shipped_is_the_one_that_is_meant() -> None:
    shipped = json.loads((ROOT / "store/ways_out/readings.schema.json").read_text(encoding="utf-8"))
    assert shipped == schema()
    jsonschema.Draft202012Validator.check_schema(shipped)


def test_what_is_written_keeps_to_the_schema(root: Path, tmp_path: Path) -> None:
    path = tmp_path / "out.json"
    with Book.open(root, read_only=True) as book:
        count = write_json(path, book.round(), book.entries())
        last = book.entries()[-1]
    written = json.loads(path.read_text(encoding="utf-8"))
    jsonschema.validate(written, schema())
    assert len(written["readings"]) == count
    assert written["heads"] == [{"bench": "north", "number": last.seq, "entry": last.hash}]
    assert {row["state"] for row in written["checks"]} >= {"within", "outside", "no limit"}


@pytest.mark.parametrize(
    "damage",
    [
        lambda d: d["readings"][0].update(value="20"),
        lambda d: d["readings"][0].update(verdict="fine"),
        lambda d: d["readings"][0].pop("entry"),
        lambda d: d["checks"][0].update(extra=1),
        lambda d: d.update(format="benchproof readings 0"),
    ],
)
def test_the_schema_refuses_what_is_none(root: Path, damage: object) -> None:
    with Book.open(root, read_only=True) as book:
        told = document(book.round(), book.entries())
    damage(told)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, schema())


def test_csv_and_json_say_the_same(root: Path, tmp_path: Path) -> None:
    with Book.open(root, read_only=True) as book:
        known, entries = book.round(), book.entries()
        assert write_csv(tmp_path / "r.csv", known) == len(list(reading_rows(known)))
        assert write_csv(tmp_path / "c.csv", known, "checks") == len(known.checks)
        told = document(known, entries)
    for name, columns, rows in (
        ("r.csv", READINGS, told["readings"]),
        ("c.csv", CHECKS, told["checks"]),
    ):
        table = lines(tmp_path / name)
        assert len(table) == len(rows)
        for line, row in zip(table, rows, strict=True):
            for column in columns:
                cell, text = row[column.name], line[column.name]
                if column.form == "number":
                    assert (float(text) if text else None) == cell
                elif column.form == "text":
                    assert text.removeprefix("'") == cell
                elif column.form == "yes-no":
                    assert text == ("yes" if cell else "no")
                else:
                    assert int(text) == cell


def test_the_end_of_a_t_interval_is_the_published_one(tmp_path: Path) -> None:
    """GUM (JCGM 100:2008) table G.2: t for 95 % and 5 degrees of freedom is 2.57."""
    with small_book(tmp_path / "book") as book:
        t = Read(key="P3.bore", text="20 mm", quantity=Quantity(20.0, "mm", u=0.1, dof=5.0))
        row = _row_of(book, t)
        assert (row["distribution"], row["dof"]) == ("t", 5.0)
        assert float(row["high"]) == pytest.approx(20 + 2.57 * 0.1, abs=0.0006)
        exact = Read(key="P3.bore", text="20 mm", quantity=Quantity(20.0, "mm", dof=5.0))
        row = _row_of(book, exact)
        assert (row["distribution"], row["dof"], row["low"]) == ("exact", None, 20.0)


def _row_of(book: Book, read: Read) -> dict[str, object]:
    entry = book.append(read, **WHO).hash
    return next(row for row in reading_rows(book.round()) if row["entry"] == entry)


def test_what_is_hidden_or_waived_says_so(tmp_path: Path) -> None:
    with small_book(tmp_path / "book") as book:
        before = {row["key"]: row for row in check_rows(book.round())}
        book.append(Waiver("lid", "P3.nip", "sits well", "R. Tamm", "by phone"), **WHO)
        bench_acts.close(book, "lid", **WHO)
        after = {row["key"]: row for row in check_rows(book.round())}
    assert not any(row["hidden"] or row["waived"] for row in before.values())
    assert [key for key, row in after.items() if row["waived"]] == ["P3.nip"]
    hidden = {key for key, row in after.items() if row["hidden"]}
    assert hidden == {"P3.bore", "P3.plug", "P3.nip", "P3.clean"}


def test_a_depth_has_its_word(tmp_path: Path) -> None:
    """As typed, and for a value worked out or marked by its sign: into the metal is BELOW."""
    with small_book(tmp_path / "book") as book:
        for value, side in ((-0.2, "PROUD"), (0.2, "BELOW"), (0.0, "FLUSH")):
            row = _row_of(book, reading("OH2.other", value, half_step=0.05))
            assert (row["side"], row["value"]) == (side, value)


def test_the_photos_that_show_a_reading_are_named(tmp_path: Path) -> None:
    with small_book(tmp_path / "book") as book:
        shown = replace(reading("P3.bore", 20.0), photos=("ab" * 32, "cd" * 32))
        assert _row_of(book, shown)["photo"] == f"{'ab' * 32} {'cd' * 32}"


def test_the_same_book_gives_the_same_bytes(root: Path, tmp_path: Path) -> None:
    for name in ("one.json", "two.json"):
        with Book.open(root, read_only=True) as book:
            write_json(tmp_path / name, book.round(), book.entries())
    content = (tmp_path / "one.json").read_bytes()
    assert content == (tmp_path / "two.json").read_bytes()
    assert content.startswith(first_words(Path("one.json")))


def test_a_full_disk_leaves_what_was_there(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "r.csv"
    path.write_text("what was there")

    def full(_descriptor: int, _data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("store.files.halfmade.write_all", full)
    with Book.open(root, read_only=True) as book, pytest.raises(CannotWrite, match="make room"):
        write_csv(path, book.round())
    assert [each.name for each in tmp_path.iterdir()] == ["r.csv"]
    assert path.read_text() == "what was there"
