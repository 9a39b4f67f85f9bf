"""Any change to a book is seen: flipped, cut, dropped, moved, borrowed; or why it is harmless."""

import random
import shutil
import sqlite3
from pathlib import Path

import pytest

from annotate.result import Coverage
from store.book import Book
from store.codec import Entry
from store.files.notice import FORMAT_NAME
from store.finding import Finding
from store.ledger import FILE_NAME, HEADS_NAME
from store.verify import verify
from store.written import acts
from tests.store import small_job
from tests.store.forgery import as_rows, put_lines
from tests.store.small_job import WHO, answer, file_photo, marks, new_book, reading


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("sound") / "book"
    with new_book(root) as book:
        acts.record_marks(book, marks(file_photo(book, "OH2")), **WHO)
        acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
        acts.record_reading(book, reading("P3.plug", 20.1), **WHO)
        acts.record_reading(book, answer("P3.clean", said=True), **WHO)
    return root


@pytest.fixture
def root(sound: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(sound, tmp_path / "book"))


def entries_of(root: Path) -> list[Entry]:
    with Book.open(root, read_only=True) as book:
        return list(book.entries())


def check(root: Path) -> list[Finding]:
    return verify(root, measure=small_job.measure)


def flipped(content: bytes, chance: random.Random) -> bytes:
    place, bit = chance.randrange(len(content)), 1 << chance.randrange(8)
    return content[:place] + bytes([content[place] ^ bit]) + content[place + 1 :]


def test_a_flipped_bit_of_a_line_is_seen(root: Path) -> None:
    entries = entries_of(root)
    chance = random.Random(8)  # noqa: S311 - places, no secrets
    for _ in range(40):
        number = chance.randrange(len(entries))
        rows = as_rows(entries)
        bench, seq, digest, line = rows[number]
        rows[number] = (bench, seq, digest, flipped(line, chance))
        put_lines(root, rows)
        assert "altered" in {finding.severity for finding in check(root)}


def test_a_flipped_bit_of_a_photo_is_seen(root: Path) -> None:
    (path,) = (root / "photos").rglob("*.jpg")
    path.chmod(0o644)
    content = path.read_bytes()
    chance = random.Random(10)  # noqa: S311 - places, no secrets
    for _ in range(20):
        path.write_bytes(flipped(content, chance))
        assert [finding.code for finding in check(root)] == ["photo-altered"]


@pytest.mark.parametrize("share", [0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99])
def test_a_cut_ledger_is_seen(root: Path, share: float) -> None:
    path = root / FILE_NAME
    content = path.read_bytes()
    path.write_bytes(content[: int(len(content) * share)])
    assert {"damaged", "altered"} & {finding.severity for finding in check(root)}


def test_entries_cut_off_the_end_are_seen_by_the_heads(root: Path) -> None:
    entries = entries_of(root)
    for kept in range(1, len(entries)):
        put_lines(root, as_rows(entries[:kept]))
        assert "entry-gone" in {finding.code for finding in check(root)}


def test_heads_that_lag_behind_are_normal(root: Path) -> None:
    # an entry is kept before its head is noted, so this must not raise an alarm
    path = root / HEADS_NAME
    lines = path.read_text().splitlines(keepends=True)
    for kept in range(1, len(lines)):
        path.write_text("".join(lines[:kept]))
        assert check(root) == []


def test_a_head_torn_by_a_power_cut_is_a_note_then_and_later(root: Path) -> None:
    path = root / HEADS_NAME
    *before, last = path.read_text().splitlines(keepends=True)
    for kept in range(1, len(last) - 1):
        for lost in ("", "\0" * 7):
            path.write_text("".join(before) + last[:kept] + lost)
            assert [(f.severity, f.code) for f in check(root)] == [("note", "heads-line")]
    with Book.open(root) as book:
        acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
    assert [(f.severity, f.code) for f in check(root)] == [("note", "heads-line")]


@pytest.mark.parametrize("line", ["", "nor th", "north 1 abc", "\0", "north 99"])
def test_a_line_of_the_heads_that_never_was_one_is_seen(root: Path, line: str) -> None:
    path = root / HEADS_NAME
    before = path.read_text()
    for text in (f"{line}\n{before}", f"{before}{line}\n"):
        path.write_text(text)
        (found,) = check(root)
        expected = ("note", "heads-line") if line == "\0" else ("altered", "heads-changed")
        assert (found.severity, found.code) == expected


def test_another_way_to_check_than_the_programs_is_seen(root: Path) -> None:
    """FORMAT.txt: whoever follows it must not be led astray."""
    path = root / FORMAT_NAME
    path.write_text(path.read_text().replace("sha256sum", "md5sum"))
    assert [(f.severity, f.code) for f in check(root)] == [("altered", "format-changed")]
    # A copy that another version of the program has made has that version's text.
    found = verify(root, measure=small_job.measure, version="9.9")
    assert [(f.severity, f.code) for f in found] == [("differs", "format-changed")]


def test_any_two_entries_swapped_are_seen(root: Path) -> None:
    entries = entries_of(root)
    chance = random.Random(11)  # noqa: S311 - places, no secrets
    for _ in range(15):
        first, second = chance.sample(range(len(entries)), 2)
        swapped = [*entries]
        swapped[first], swapped[second] = swapped[second], swapped[first]
        put_lines(root, as_rows(swapped))
        assert "altered" in {finding.severity for finding in check(root)}


def test_an_entry_of_another_book_put_in_is_seen(root: Path, tmp_path: Path) -> None:
    with new_book(tmp_path / "other") as other:
        acts.record_reading(other, reading("P3.bore", 19.0), **WHO)
        borrowed = other.entries()[1]
    entries = entries_of(root)
    for place in range(1, len(entries) + 1):
        put_lines(root, as_rows([*entries[:place], borrowed, *entries[place:]]))
        assert "chain-broken" in {finding.code for finding in check(root)}


def test_a_copied_entry_is_not_even_taken_by_the_table(root: Path) -> None:
    entries = entries_of(root)
    with pytest.raises(sqlite3.IntegrityError):
        put_lines(root, as_rows([*entries, entries[1]]))


def test_two_histories_of_one_bench_are_seen(root: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copytree(root, tmp_path / "copy"))
    for here, value in ((root, 20.2), (copy, 20.3)):
        with Book.open(here) as book:
            acts.record_reading(book, reading("P3.bore", value), **WHO)
    mine, theirs = entries_of(root), entries_of(copy)
    known = {entry.hash for entry in mine}
    put_lines(root, as_rows([*mine, *(entry for entry in theirs if entry.hash not in known)]))
    found = [finding for finding in check(root) if finding.code == "chain-fork"]
    assert len(found) == 1
    assert "two histories" in found[0].detail


def test_a_row_that_says_otherwise_than_its_line_is_seen(root: Path) -> None:
    entries = entries_of(root)
    for change in ({0: "south"}, {1: 77}, {2: "0" * 64}):
        rows = as_rows(entries)
        row = list(rows[3])
        for column, value in change.items():
            row[column] = value
        rows[3] = (str(row[0]), int(str(row[1])), str(row[2]), entries[3].line)
        put_lines(root, rows)
        assert {"row-differs", "line-changed"} & {finding.code for finding in check(root)}


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (b'"seq":', b' "seq":', "line-not-canonical"),
        (b'"value":"20.0"', b'"value":"20.00"', "line-not-canonical"),
        (b'"by":"R. Tamm"', b'"by":"R. Tamm","by":"R. Tamm"', "line-unreadable"),
        (b'"value":"20.0"', b'"value":20.0', "line-unreadable"),
    ],
)
def test_a_line_in_another_form_is_seen(root: Path, old: bytes, new: bytes, code: str) -> None:
    rows = as_rows(entries_of(root))
    number = next(n for n, row in enumerate(rows) if b'"reading"' in row[3])
    bench, seq, digest, line = rows[number]
    rows[number] = (bench, seq, digest, line.replace(old, new, 1))
    assert rows[number][3] != line
    put_lines(root, rows)
    assert {code, "line-changed", "chain-broken"} <= {finding.code for finding in check(root)}


def test_a_unit_that_there_is_not_ends_no_check(root: Path) -> None:
    """One flipped bit in the plan makes "mm" of a check "em"; no formula comes to that."""
    rows = as_rows(entries_of(root))
    bench, seq, digest, line = rows[0]
    asked = b'"question":"plug minus bore","unit":"'
    rows[0] = (bench, seq, digest, line.replace(asked + b"mm", asked + b"em"))
    assert rows[0][3] != line
    put_lines(root, rows)
    (photo,) = (root / "photos").rglob("*.jpg")
    photo.unlink()
    found = {finding.code for finding in check(root)}
    assert {"line-changed", "chain-broken", "photo-missing", "derived-differs"} <= found


def test_what_the_check_itself_stumbles_on_is_told_and_the_rest_is_checked(root: Path) -> None:
    def stumble(*_: object, **__: object) -> Coverage:
        raise ZeroDivisionError("over a line")

    (photo,) = (root / "photos").rglob("*.jpg")
    photo.unlink()
    found = verify(root, measure=stumble)
    assert [f.code for f in found if f.code == "photo-missing"] == ["photo-missing"]
    (stumbled,) = [f for f in found if f.code == "lines-unworkable"]
    assert (stumbled.severity, stumbled.where) == ("altered", "ledger")
    assert "ZeroDivisionError: over a line" in stumbled.detail
