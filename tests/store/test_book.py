"""The front door to one book."""

import hashlib
import io
import re
import sqlite3
import subprocess
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from store.book import Book, Kept
from store.errors import (
    BadPhotoId,
    BadPlan,
    BadRecord,
    BookExists,
    Damaged,
    NetworkFolder,
    NoSuchEntry,
    NotABook,
    PhotoMissing,
)
from store.evidence import Closed, JobStarted, PhotoTaken
from store.files.notice import FORMAT_NAME, FORMAT_TEXT
from store.ledger import FILE_NAME, Ledger
from store.standing import standing
from tests.store.small_job import PHOTO, VERSION, WHO, file_photo, new_book, plan, reading

ID = hashlib.sha256(PHOTO).hexdigest()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with new_book(tmp_path / "book") as the_book:
        yield the_book


def test_a_new_book_begins_with_its_plan(book: Book) -> None:
    (first,) = book.entries()
    assert first.evidence == JobStarted(plan(), VERSION)
    assert (first.by, first.at, first.bench, first.seq) == (WHO["by"], WHO["at"], "north", 1)
    assert book.plan == plan()
    assert book.round().plan == plan()
    assert book.heads() == {"north": (1, first.hash)}
    assert book.warnings == ()
    assert (book.root / FORMAT_NAME).read_text() == FORMAT_TEXT


def test_a_book_opened_again_is_the_same(book: Book) -> None:
    book.append(reading("P3.bore", 20.0), **WHO)
    with Book.open(book.root) as again:
        assert again.entries() == book.entries()
        assert again.plan == plan()
        assert again.bench == "north"
        assert again.round() == book.round()


def test_two_open_books_see_each_others_entries(book: Book) -> None:
    with Book.open(book.root, bench="south") as other:
        book.append(reading("P3.bore", 20.0), **WHO)
        assert len(other.entries()) == 2
        other.append(reading("P3.plug", 20.1), **WHO)
        other.append(Closed("lid"), **WHO)
        assert [(e.bench, e.seq) for e in book.entries()] == [
            ("north", 1), ("north", 2), ("south", 1), ("south", 2),
        ]  # fmt: skip
        assert set(book.heads()) == {"north", "south"}
        assert book.round().check("P3.plug").state == "no limit"


def _change(root: Path, sql: str, *values: object) -> None:
    """Change rows as somebody would who took the ledger's guard rail away."""
    with sqlite3.connect(root / FILE_NAME) as database:
        database.execute("DROP TRIGGER entries_stay")
        assert database.execute(sql, values).rowcount == 1
    database.close()


@pytest.mark.parametrize("seq", [2, 3])
def test_nothing_is_added_to_a_book_with_a_byte_changed(book: Book, seq: int) -> None:
    for value in (20.0, 21.0):
        book.append(reading("P3.bore", value), **WHO)
    book.close()
    with Book.open(book.root, read_only=True) as whole:
        assert whole.warnings == ()
        line = whole.entries()[seq - 1].line
    changed = line.replace(b"R. Tamm", b"R. Tamn")
    _change(book.root, "UPDATE entries SET line = ? WHERE seq = ?", changed, seq)
    with Book.open(book.root) as again:
        assert len(again.entries()) == 3
        assert "chain is broken" in " ".join(again.warnings)
        with pytest.raises(Damaged, match=f"entry {seq} of north.*run benchproof verify"):
            again.append(reading("P3.plug", 20.1), **WHO)
        assert len(again.entries()) == 3


def test_nothing_is_added_after_an_entry_written_anew_with_its_hash(book: Book) -> None:
    for value in (20.0, 21.0):
        book.append(reading("P3.bore", value), **WHO)
    line = book.entries()[1].line.replace(b"R. Tamm", b"R. Tamn")
    digest = hashlib.sha256(line).hexdigest()
    book.close()
    _change(book.root, "UPDATE entries SET line = ?, hash = ? WHERE seq = 2", line, digest)
    with Book.open(book.root) as again, pytest.raises(Damaged, match="entry 3 of north"):
        again.append(reading("P3.plug", 20.1), **WHO)


def test_a_folder_with_something_in_it_is_not_taken(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("keep")
    with pytest.raises(BookExists, match=r"letter\.txt"):
        new_book(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_book_is_not_overwritten(book: Book) -> None:
    before = book.entries()
    with pytest.raises(BookExists):
        new_book(book.root)
    (book.root / "heads.txt").unlink()
    with pytest.raises(BookExists, match="holds a book already"):
        new_book(book.root)
    assert book.entries() == before


def test_an_empty_folder_may_exist(tmp_path: Path) -> None:
    (tmp_path / "book").mkdir()
    with new_book(tmp_path / "book") as book:
        assert len(book.entries()) == 1


def test_a_start_that_broke_off_can_be_made_again(tmp_path: Path) -> None:
    (tmp_path / FORMAT_NAME).write_text("half")
    Ledger.create(tmp_path).close()
    with pytest.raises(NotABook, match="never started"):
        Book.open(tmp_path)
    with new_book(tmp_path) as book:
        assert len(book.entries()) == 1
    assert (tmp_path / FORMAT_NAME).read_text() == FORMAT_TEXT


def test_a_bench_name_that_is_none_is_refused_before_a_folder_is_made(tmp_path: Path) -> None:
    with pytest.raises(BadRecord):
        Book.create(tmp_path / "b", plan(), bench="North", version=VERSION, **WHO)
    assert not (tmp_path / "b").exists()


def test_a_folder_without_a_book_is_none(tmp_path: Path) -> None:
    with pytest.raises(NotABook):
        Book.open(tmp_path)
    with pytest.raises(NotABook):
        Book.open(tmp_path / "nowhere", read_only=True)


def test_a_network_folder_is_refused_for_writing_and_may_be_read(
    book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    table = tmp_path / "mounts"
    table.write_text(f"host:/x {tmp_path} nfs4 rw 0 0\n")
    monkeypatch.setattr("store.files.disk.MOUNTS", table)
    with pytest.raises(NetworkFolder, match="nfs4"):
        Book.open(book.root)
    with pytest.raises(NetworkFolder, match="nfs4"):
        new_book(tmp_path / "other")
    assert not (tmp_path / "other").exists()
    with Book.open(book.root, read_only=True) as reader:
        assert len(reader.entries()) == 1


def test_an_unknown_file_system_is_warned_of(
    book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    table = tmp_path / "mounts"
    table.write_text(f"x {tmp_path} fuse.novelty rw 0 0\n")
    monkeypatch.setattr("store.files.disk.MOUNTS", table)
    for opened in (Book.open(book.root), new_book(tmp_path / "other")):
        with opened:
            assert "fuse.novelty" in opened.warnings[0]


def test_an_entry_is_cited_by_hash_start_or_number(book: Book) -> None:
    entry = book.append(reading("P3.bore", 20.0), **WHO)
    for cited in (entry.hash, entry.hash[:6], entry.hash[:9].upper(), 2, "2", " 2 "):
        assert book.entry(cited) == entry
    for cited in (entry.hash[:5] + "x", "ab", "", 3, 0, "nonsense", entry.hash + "0"):
        with pytest.raises(NoSuchEntry):
            book.entry(cited)


def test_a_number_is_one_of_this_bench(book: Book) -> None:
    with Book.open(book.root, bench="south") as other:
        mine = other.append(Closed("lid"), **WHO)
        assert other.entry(1) == mine
        assert book.entry(1) == book.entries()[0]


def test_a_start_that_fits_several_entries_is_refused(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("store.known.entry_named._SHORTEST_CITATION", 0)
    book.append(Closed("lid"), **WHO)
    with pytest.raises(NoSuchEntry, match="several entries"):
        book.entry("")


def test_an_act_that_fails_leaves_nothing_and_the_book_goes_on(book: Book) -> None:
    def fail() -> None:
        with book.act(**WHO) as act:
            act.append(reading("P3.bore", 20.0))
            assert standing(act.told).check("P3.bore").state == "no limit"
            raise ValueError("my own")

    with pytest.raises(ValueError, match="my own"):
        fail()
    assert len(book.entries()) == 1
    assert book.round().check("P3.bore").state == "not measured"
    book.append(reading("P3.plug", 20.0), **WHO)
    assert [entry.seq for entry in book.entries()] == [1, 2]
    assert book.round().check("P3.plug").state == "no limit"


def test_a_photo_is_kept_then_filed(book: Book) -> None:
    photo = file_photo(book, "P3")
    assert photo == ID
    assert book.photo_path(photo).read_bytes() == PHOTO
    assert book.unfiled_photos() == ()
    assert book.missing_photos() == ()
    assert file_photo(book, "OH2", "overall") == photo
    assert len(list((book.root / "photos").rglob("*.jpg"))) == 1


def test_a_photo_whose_filing_fails_is_offered_as_unfiled(book: Book) -> None:
    def fail(_: Kept) -> PhotoTaken:
        raise ValueError("no such camera")

    with pytest.raises(ValueError, match="no such camera"):
        book.add_photo(io.BytesIO(PHOTO), "jpg", fail, **WHO)
    (kept,) = book.unfiled_photos()
    assert (kept.photo, kept.bytes_count, kept.path) == (ID, len(PHOTO), book.photo_path(ID))
    assert len(book.entries()) == 1


@pytest.mark.parametrize("wrong", [{"photo": "0" * 64}, {"bytes_count": 1}, {"suffix": "png"}])
def test_a_record_must_name_the_photo_that_was_kept(book: Book, wrong: dict[str, object]) -> None:
    def describe(kept: Kept) -> PhotoTaken:
        values = {"photo": kept.photo, "bytes_count": kept.bytes_count, "suffix": "jpg"} | wrong
        return PhotoTaken(file_name="a", location="P3", role="fitted", **values)  # type: ignore[arg-type]

    with pytest.raises(BadRecord, match="must name the file kept"):
        book.add_photo(io.BytesIO(PHOTO), "jpg", describe, **WHO)
    assert len(book.entries()) == 1


def test_a_missing_photo_raises_the_alarm_at_opening(book: Book) -> None:
    book.photo_path(file_photo(book, "P3")).unlink()
    with pytest.raises(PhotoMissing):
        book.photo_path(ID)
    with pytest.raises(BadPhotoId):
        book.photo_path("x")
    with Book.open(book.root) as again:
        assert again.missing_photos() == (ID,)
        assert "1 of the book's photos is missing" in again.warnings[0]


def test_opening_clears_what_an_interrupted_copy_left(book: Book) -> None:
    file_photo(book, "P3")
    half = book.root / "photos" / "incoming-12"
    half.write_bytes(b"half")
    Book.open(book.root, read_only=True).close()
    assert half.exists()
    Book.open(book.root).close()
    assert not half.exists()


def test_a_head_that_was_missed_is_warned_of(book: Book) -> None:
    (book.root / "heads.txt").unlink()
    (book.root / "heads.txt").mkdir()
    book.append(Closed("lid"), **WHO)
    assert "heads.txt could not be written" in book.warnings[0]


def test_a_line_that_can_not_be_read_is_damage(book: Book) -> None:
    line = book.append(Closed("lid"), **WHO).line
    book.close()
    change(book.root, line, line.replace(b'"closed"', b'"opened"'))
    with pytest.raises(Damaged, match=r"entry 2 can't be read \(unknown kind"):
        Book.open(book.root)


def change(root: Path, old: bytes, new: bytes) -> None:
    database = sqlite3.connect(root / FILE_NAME)
    database.execute("DROP TRIGGER entries_stay")
    assert database.execute("UPDATE entries SET line=? WHERE line=?", (new, old)).rowcount == 1
    database.commit()
    database.close()


# FORMAT.txt tells a stranger how to check; these run what it says, with the tools it names.


def commands(root: Path) -> list[str]:
    """Return the indented shell commands of FORMAT.txt, one text for each numbered step."""
    text = (root / FORMAT_NAME).read_text().replace("BENCH", "north")
    steps = re.split(r"^\d\. ", text, flags=re.MULTILINE)[1:]
    return ["\n".join(re.findall(r"^     (.*)$", step, re.MULTILINE)) for step in steps]


def check_as_told(root: Path, tmp_path: Path) -> str:
    """Run the steps in a copy's folder and return all that they complain of."""
    export, *others = commands(root)
    select = re.search(r'"(SELECT .*)"', export)
    assert select is not None
    database = sqlite3.connect(root / FILE_NAME)
    lines = [row[0] for row in database.execute(select[1])]
    database.close()
    work = tmp_path / "work"
    work.mkdir()
    (work / "ledger.jsonl").write_bytes(b"".join(lines))
    for name in ("photos", "heads.txt"):
        (work / name).symlink_to(root / name)
    said = ""
    for command in others:
        done = subprocess.run(
            ["bash", "-c", command.replace("find photos", "find photos/")],
            cwd=work, capture_output=True, text=True, check=False,
        )  # fmt: skip
        said += done.stdout + done.stderr
    return said


def test_a_sound_book_passes_the_checks_that_format_txt_tells(book: Book, tmp_path: Path) -> None:
    file_photo(book, "P3")
    for _ in range(12):
        book.append(reading("P3.bore", 20.0), **WHO)
    assert check_as_told(book.root, tmp_path) == ""


def test_those_checks_find_a_changed_line(book: Book, tmp_path: Path) -> None:
    file_photo(book, "P3")
    line = book.append(reading("P3.bore", 20.0), **WHO).line
    book.append(Closed("lid"), **WHO)
    change(book.root, line, line.replace(b"20.0 mm", b"21.0 mm"))
    said = check_as_told(book.root, tmp_path)
    assert "differ" in said
    assert "entry 3 is not what it was" in said


def test_those_checks_find_a_changed_photo(book: Book, tmp_path: Path) -> None:
    path = book.photo_path(file_photo(book, "P3"))
    path.chmod(0o644)
    path.write_bytes(PHOTO + b"0")
    assert f"{ID}.jpg was changed" in check_as_told(book.root, tmp_path)


def test_a_citation_that_fits_nothing_is_refused_in_good_grammar(book: Book) -> None:
    with pytest.raises(NoSuchEntry, match="no entry in this book answers to '999'"):
        book.entry("999")


def test_a_check_named_twice_is_said_with_its_location() -> None:
    one = plan().locations[0]
    twice = msgspec.structs.replace(one, characteristics=one.characteristics[:1] * 2)
    with pytest.raises(BadPlan, match="'bore' of P3 is there twice"):
        msgspec.structs.replace(plan(), locations=(twice,))
