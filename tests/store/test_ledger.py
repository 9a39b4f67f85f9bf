"""The append-only ledger."""

import itertools
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import store.ledger
from store.codec import FIRST_PREV, decode, hash_of
from store.errors import BadRecord, Busy, CannotWrite, Damaged, NotABook
from store.evidence import Closed, Struck
from store.ledger import FILE_NAME, HEADS_NAME, WRITER_NAME, Ledger
from tests.store.small_job import WHO


@pytest.fixture(autouse=True)
def _close_all(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    opened, really_open = [], store.ledger._opened

    def tracked(path: Path, mode: str, busy_seconds: float) -> sqlite3.Connection:
        opened.append(really_open(path, mode, busy_seconds))
        return opened[-1]

    monkeypatch.setattr("store.ledger._opened", tracked)
    yield
    for database in opened:
        database.close()


@pytest.fixture
def ledger(tmp_path: Path) -> Ledger:
    return Ledger.create(tmp_path, busy_seconds=0.05)


def fill(ledger: Ledger, count: int, bench: str = "north") -> None:
    for number in range(count):
        with ledger.transaction(bench) as writer:
            writer.append(Closed(f"hold {number}"), **WHO)


def test_the_settings_are_those_that_survive_a_power_cut(ledger: Ledger) -> None:
    assert ledger.settings() == {
        "synchronous": 3,  # EXTRA
        "journal_mode": "delete",
        "foreign_keys": 1,
        "trusted_schema": 0,
        "cell_size_check": 1,
        "mmap_size": 0,
        "busy_timeout": 50,
    }


def test_the_default_patience_is_ten_seconds(tmp_path: Path) -> None:
    assert Ledger.create(tmp_path).settings()["busy_timeout"] == 10_000


def test_lines_are_chained_and_numbered_per_bench(ledger: Ledger) -> None:
    fill(ledger, 2)
    fill(ledger, 2, "south")
    fill(ledger, 1)
    entries = [decode(line) for _, line in ledger.lines()]
    for bench, seqs in (("north", [1, 2, 3]), ("south", [1, 2])):
        chain = [entry for entry in entries if entry.bench == bench]
        assert [entry.seq for entry in chain] == seqs
        assert chain[0].prev == FIRST_PREV
        for before, after in itertools.pairwise(chain):
            assert after.prev == hash_of(before.line)


def test_salts_differ(ledger: Ledger) -> None:
    fill(ledger, 20)
    assert len({decode(line).salt for _, line in ledger.lines()}) == 20


def test_lines_after_a_row_are_only_the_new_ones(ledger: Ledger) -> None:
    fill(ledger, 2)
    last = ledger.lines()[-1][0]
    assert ledger.lines(after=last) == []
    fill(ledger, 1)
    assert len(ledger.lines(after=last)) == 1


def test_rows_say_what_the_lines_say(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("store.ledger._BATCH", 2)
    fill(ledger, 5)
    rows = list(ledger.rows())
    assert [line for _, _, _, line in rows] == [line for _, line in ledger.lines()]
    for bench, seq, digest, line in rows:
        entry = decode(line)
        assert (bench, seq, digest) == (entry.bench, entry.seq, entry.hash)
    assert ledger.complaints() == []


def test_a_block_that_fails_keeps_nothing(ledger: Ledger) -> None:
    fill(ledger, 1)
    two = (Closed("lid"), Struck(entry="e", reason=5))  # type: ignore[arg-type]
    with pytest.raises(BadRecord, match="struck"), ledger.transaction("north") as writer:
        _ = [writer.append(record, **WHO) for record in two]
    assert len(ledger.lines()) == 1
    fill(ledger, 1)
    assert [decode(line).seq for _, line in ledger.lines()] == [1, 2]


def test_entries_of_one_block_follow_each_other(ledger: Ledger) -> None:
    with ledger.transaction("north") as writer:
        first = writer.append(Closed("a"), **WHO)
        second = writer.append(Closed("b"), **WHO)
    assert (second.seq, second.prev) == (2, first.hash)
    assert writer.written == [first, second]


def test_each_commit_leaves_its_head_outside_the_database(ledger: Ledger, tmp_path: Path) -> None:
    fill(ledger, 3)
    heads = (tmp_path / HEADS_NAME).read_text().splitlines()
    expected = [decode(line) for _, line in ledger.lines()]
    assert heads == [f"{entry.bench} {entry.seq} {entry.hash}" for entry in expected]


def test_a_head_that_can_not_be_noted_does_not_undo_the_entry(
    ledger: Ledger, tmp_path: Path
) -> None:
    (tmp_path / HEADS_NAME).mkdir()
    fill(ledger, 1)
    assert len(ledger.lines()) == 1
    assert ledger.heads_missed.startswith("heads.txt could not be written")
    (tmp_path / HEADS_NAME).rmdir()
    fill(ledger, 1)
    assert ledger.heads_missed == ""
    assert len((tmp_path / HEADS_NAME).read_text().splitlines()) == 1


def test_an_empty_block_leaves_no_head(ledger: Ledger, tmp_path: Path) -> None:
    with ledger.transaction("north"):
        pass
    assert not (tmp_path / HEADS_NAME).exists()


def test_a_bench_name_that_is_none_is_refused(ledger: Ledger) -> None:
    with pytest.raises(BadRecord), ledger.transaction("North Bench"):
        pass


@pytest.mark.parametrize(
    "statement",
    ["UPDATE entries SET line = x'00'", "DELETE FROM entries", "UPDATE entries SET seq=9"],
)
def test_the_guard_rail_stops_an_accident(ledger: Ledger, tmp_path: Path, statement: str) -> None:
    fill(ledger, 1)
    other = sqlite3.connect(tmp_path / FILE_NAME)
    with pytest.raises(sqlite3.IntegrityError, match="an entry is never"):
        other.execute(statement)
    other.close()


def test_while_another_program_writes_it_is_named(ledger: Ledger, tmp_path: Path) -> None:
    fill(ledger, 1)
    code = f"""
import sys
sys.path.insert(0, {str(Path.cwd())!r})
sys.argv = ["/usr/bin/other-desk"]
from pathlib import Path
from store.ledger import Ledger
ledger = Ledger(Path({str(tmp_path)!r}))
with ledger.transaction("south"):
    print("writing", flush=True)
    sys.stdin.read()
ledger.close()
"""
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as other:
        assert other.stdout is not None
        assert other.stdin is not None
        assert other.stdout.readline() == b"writing\n"
        with pytest.raises(Busy, match=rf"other-desk \(process {other.pid}\)"):
            fill(ledger, 1)
        assert len(ledger.lines()) == 1
        other.stdin.close()
    assert not (tmp_path / WRITER_NAME).exists()
    fill(ledger, 1)
    assert len(ledger.lines()) == 2


def test_while_something_unknown_writes_it_is_said(ledger: Ledger, tmp_path: Path) -> None:
    other = sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(Busy, match=r"^Another program is using this book"):
        fill(ledger, 1)
    other.execute("ROLLBACK")
    other.close()
    fill(ledger, 1)


def test_a_reader_in_the_way_of_the_commit_is_waited_for_and_then_named(
    ledger: Ledger, tmp_path: Path
) -> None:
    fill(ledger, 1)
    other = sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)
    other.execute("BEGIN")
    other.execute("SELECT * FROM entries").fetchone()
    with pytest.raises(Busy):
        fill(ledger, 1)
    other.execute("ROLLBACK")
    other.close()
    assert len(ledger.lines()) == 1
    fill(ledger, 1)
    assert [decode(line).seq for _, line in ledger.lines()] == [1, 2]


def test_a_folder_without_a_ledger_is_no_book(tmp_path: Path) -> None:
    with pytest.raises(NotABook, match=r"no ledger\.db"):
        Ledger(tmp_path)


def test_a_file_that_is_no_database_is_no_book(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b"not a database " * 100)
    with pytest.raises(NotABook, match="is no database"):
        Ledger(tmp_path)


def test_another_database_is_no_book(tmp_path: Path) -> None:
    other = sqlite3.connect(tmp_path / FILE_NAME)
    other.execute("CREATE TABLE entries (x)")
    other.close()
    with pytest.raises(NotABook, match="something else"):
        Ledger(tmp_path)


def test_a_newer_format_is_not_read(ledger: Ledger, tmp_path: Path) -> None:
    ledger.close()
    other = sqlite3.connect(tmp_path / FILE_NAME)
    other.execute("PRAGMA user_version=3")
    other.close()
    with pytest.raises(NotABook, match="format 3; this version reads format 2"):
        Ledger(tmp_path)


def test_making_a_ledger_again_keeps_what_is_in_it(ledger: Ledger, tmp_path: Path) -> None:
    fill(ledger, 1)
    ledger.close()
    assert len(Ledger.create(tmp_path).lines()) == 1


def test_a_read_only_ledger_is_read_and_not_written(ledger: Ledger, tmp_path: Path) -> None:
    fill(ledger, 1)
    ledger.close()
    reader = Ledger(tmp_path, read_only=True)
    assert len(reader.lines()) == 1
    with pytest.raises(CannotWrite, match="can't be written to"):
        fill(reader, 1)
    assert len(reader.lines()) == 1


def test_a_lost_table_is_damage(ledger: Ledger, tmp_path: Path) -> None:
    other = sqlite3.connect(tmp_path / FILE_NAME)
    other.execute("DROP TABLE entries")
    other.close()
    with pytest.raises(Damaged, match="run verify"):
        ledger.lines()


def test_a_full_database_is_a_full_disk(ledger: Ledger) -> None:
    fill(ledger, 1)
    pages = ledger._database.execute("PRAGMA page_count").fetchone()[0]
    ledger._database.execute(f"PRAGMA max_page_count={pages}")
    with pytest.raises(CannotWrite, match="the disk is full"):
        fill(ledger, 50)
    kept = len(ledger.lines())
    ledger._database.execute("PRAGMA max_page_count=1000000")
    fill(ledger, 1)
    assert [decode(line).seq for _, line in ledger.lines()] == list(range(1, kept + 2))


def test_a_damaged_database_is_told_from_a_failing_disk(ledger: Ledger, tmp_path: Path) -> None:
    fill(ledger, 60)
    ledger.close()
    path = tmp_path / FILE_NAME
    content = bytearray(path.read_bytes())
    content[4096:] = b"\x99" * (len(content) - 4096)
    path.write_bytes(content)
    damaged = Ledger(tmp_path)
    with pytest.raises(Damaged, match="is damaged"):
        damaged.lines()


def test_rows_that_run_in_a_circle_are_damage_and_not_read_for_ever(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    # what a flipped bit in a page can do: the same rows come again after their last
    monkeypatch.setattr(ledger, "_batch", lambda _: [(1, "north", 1, "0" * 64, b"{}")])
    with pytest.raises(Damaged, match="out of order"):
        list(ledger.rows())


def test_cells_of_another_type_than_the_tables_are_damage(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ledger, "_batch", lambda last: [] if last else [(1, None, "x", None, 7)])
    assert list(ledger.rows()) == [("None", 0, "None", b"")]


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE VIEW more AS SELECT 1",
        "CREATE TRIGGER more AFTER INSERT ON entries BEGIN SELECT 1; END",
        "CREATE TABLE more (x)",
    ],
)
def test_a_schema_with_more_in_it_is_not_read(
    ledger: Ledger, tmp_path: Path, statement: str
) -> None:
    ledger.close()
    other = sqlite3.connect(tmp_path / FILE_NAME)
    other.execute(statement)
    other.close()
    with pytest.raises(Damaged, match=r"did not put there \((view|trigger|table) 'more'\)"):
        Ledger(tmp_path)


def test_rows_of_a_view_without_an_end_are_never_asked_for(ledger: Ledger, tmp_path: Path) -> None:
    ledger.close()
    other = sqlite3.connect(tmp_path / FILE_NAME)
    other.execute("DROP TABLE entries")
    other.execute(
        "CREATE VIEW entries AS WITH RECURSIVE n(id) AS (VALUES (1) UNION ALL SELECT id + 1 FROM n)"
        " SELECT id, 'north' AS bench, id AS seq, '' AS hash, x'7b7d0a' AS line FROM n"
    )
    other.close()
    with pytest.raises(Damaged, match="view 'entries'"):
        Ledger(tmp_path)


def test_rows_in_a_circle_are_damage_when_read_at_once(ledger: Ledger, tmp_path: Path) -> None:
    """An inner page that names one leaf many times: few bytes, rows without an end."""
    fill(ledger, 30)
    root_page = ledger._database.execute(
        "SELECT rootpage FROM sqlite_master WHERE name = 'entries'"
    ).fetchone()[0]
    size = ledger._database.execute("PRAGMA page_size").fetchone()[0]
    ledger.close()
    content = bytearray((tmp_path / FILE_NAME).read_bytes())
    begin = (root_page - 1) * size
    assert content[begin] == 5  # an inner page of a table (file format, section 1.6)
    last = begin + 8
    first_cell = begin + int.from_bytes(content[begin + 12 : begin + 14])
    content[last : last + 4] = content[first_cell : first_cell + 4]
    (tmp_path / FILE_NAME).write_bytes(content)
    with pytest.raises(Damaged, match="run verify"):
        Ledger(tmp_path).lines()


def test_a_row_longer_than_any_line_is_refused_before_it_is_read(
    ledger: Ledger, tmp_path: Path
) -> None:
    ledger.close()
    other = sqlite3.connect(tmp_path / FILE_NAME)
    other.execute("INSERT INTO entries VALUES (1, 'north', 1, '', zeroblob(40000000))")
    other.commit()
    other.close()
    with pytest.raises(Damaged, match="too big"):
        Ledger(tmp_path).lines()
