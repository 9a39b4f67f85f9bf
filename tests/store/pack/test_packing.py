"""Making a pack: what goes in, the same bytes again, and nothing left behind when it ends early."""

import hashlib
import io
import json
import re
import shutil
import signal
import stat
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from store.book import Book
from store.errors import (
    BadAct,
    BadPack,
    CannotWrite,
    Damaged,
    NoSuchEntry,
    PackStopped,
    PhotoAltered,
    PhotoMissing,
)
from store.evidence import OwnerSaid
from store.files.halfmade import clear_left_of
from store.pack import archive, packing
from store.pack.checkpoint import checkpoint_of, kept_checkpoints, parse_checkpoint
from store.pack.inspection import verify_pack
from store.pack.zip_entries import check_entries
from store.verify import verify
from store.written import acts
from tests.store import small_job
from tests.store.forgery import lines_of, put_lines
from tests.store.pack.packed import (
    FITTED,
    OIL_HOLE,
    SHEET,
    copy_of,
    make_key,
    marked_entry,
    packed,
    unzipped,
)
from tests.store.small_job import WHO, reading


def names(pack: Path) -> set[str]:
    return {p.relative_to(pack).as_posix() for p in pack.rglob("*") if p.is_file()}


def files_by_content(pack: Path) -> set[bytes]:
    return {p.read_bytes() for p in pack.rglob("*") if p.is_file()}


def everything(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


def test_a_pack_holds_what_it_promises(pack: Path) -> None:
    there = {re.sub("[0-9a-f]{2}/[0-9a-f]{64}", "ID", name) for name in names(pack)}
    assert there == {
        "bagit.txt", "bag-info.txt", "manifest-sha256.txt", "manifest-sha256.txt.sig",
        "tagmanifest-sha256.txt", "tagmanifest-sha256.txt.sig", "data/HOW-TO-CHECK.txt",
        "data/allowed_signers", "data/check.html", "data/readings.csv", "data/report.pdf",
        "data/report.html", "data/report-certificate.pem",
        "data/photos/ID.jpg", "data/papers/ID.txt", "data/layers/north-000003.svg",
        "data/layers/north-000003.json", "data/chains/north/ledger.jsonl",
        "data/chains/north/hashes.txt", "data/chains/north/redacted.txt",
        "data/chains/north/checkpoint", "data/chains/north/checkpoint.sig",
    }  # fmt: skip
    assert {OIL_HOLE, FITTED, SHEET} <= files_by_content(pack)
    assert (pack / "data/report.pdf").read_bytes().startswith(b"%PDF-")
    assert (pack / "data/report.html").read_bytes().startswith(b"<!doctype html>")


def test_the_lines_are_those_of_the_book_byte_for_byte(book: Book, pack: Path) -> None:
    lines = b"".join(entry.line for entry in book.entries())
    assert (pack / "data/chains/north/ledger.jsonl").read_bytes() == lines


def test_the_zip_is_the_folder(made: Path, tmp_path: Path) -> None:
    top = unzipped(made / "pack.zip", tmp_path / "out")
    assert top.name == "pack-K-118"
    assert everything(top) == everything(made / "pack")
    with zipfile.ZipFile(made / "pack.zip") as zipped:
        assert {info.compress_type for info in zipped.infolist()} == {zipfile.ZIP_STORED}
        assert {info.date_time for info in zipped.infolist()} == {(2026, 3, 5, 16, 40, 0)}
        modes = {stat.S_IMODE(info.external_attr >> 16) for info in zipped.infolist()}
        assert modes == {0o644}


def test_the_same_book_key_and_time_give_the_same_bytes(
    made: Path, book: Book, key: Path, tmp_path: Path
) -> None:
    """The book has left a pack since: its checkpoint is this pack's own, not an older one."""
    again = packed(book, tmp_path / "again.zip", key)
    assert again.read_bytes() == (made / "pack.zip").read_bytes()


def test_another_time_gives_another_pack_of_the_same_lines(
    made: Path, book: Book, key: Path, tmp_path: Path
) -> None:
    later = packed(book, tmp_path / "later", key, at="2026-03-06T08:00:00+01:00")
    differ = {
        n for n in names(later) if (later / n).read_bytes() != (made / "pack" / n).read_bytes()
    }
    assert {n.partition(".")[0] for n in differ} == {
        "bag-info", "manifest-sha256", "tagmanifest-sha256", "data/report", "data/HOW-TO-CHECK"
    }  # fmt: skip


def test_large_files_are_written_as_a_zip_over_4_gb_does(
    book: Book, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the bound moved down, for want of a photo of 2 GB."""
    monkeypatch.setattr(archive, "_ZIP64_FROM", 1000)
    pack = packed(book, tmp_path / "out.zip", key)
    check_entries(pack)
    found = verify_pack(pack, measure=small_job.measure)
    assert {finding.severity for finding in found} == {"note"}


def test_a_job_number_of_any_letters_has_a_checkpoint() -> None:
    for job in ("K-118", "Äpfel/Birnen 7", "工" * 300, "\u2028\n", "a\u0000b"):
        checkpoint = checkpoint_of("north", job, ["0" * 64])
        assert parse_checkpoint(checkpoint.text.encode()) == checkpoint
        assert len(checkpoint.text.splitlines()) == 3


def test_drawings_and_data_of_marks_are_readable(pack: Path) -> None:
    data = json.loads((pack / "data/layers/north-000003.json").read_text())
    assert data["key"] == "OH2.cover"
    assert data["layer"]["marks"][0]["points_px"][0] == [90.0, 30.0]
    drawing = (pack / "data/layers/north-000003.svg").read_text()
    assert drawing.startswith('<svg xmlns="http://www.w3.org/2000/svg" width="640"')
    assert drawing.count("<path") == 6  # three points, each a cross on its casing


def test_a_photo_that_no_line_names_stays(book: Book, key: Path, tmp_path: Path) -> None:
    book.keep_photo(io.BytesIO(b"of another job, perhaps"), "jpg")
    pack = packed(book, tmp_path / "out", key)
    assert b"of another job, perhaps" not in files_by_content(pack)


def test_progress_goes_forward_and_ends_whole(book: Book, key: Path, tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    packed(book, tmp_path / "out.zip", key, progress=lambda *each: told.append(each))
    done = [each[0] for each in told]
    assert done == sorted(done)
    assert told[-1] == (100, 100, "done")
    assert len({words for _, _, words in told}) > 30


# Nothing half-written stays.


def left_behind(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.mark.parametrize("name", ["out.zip", "out"])
def test_a_stop_at_any_step_leaves_nothing(
    made: Path, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setattr(packing, "write_report", lambda *_, **__: made / "pack/data/report.pdf")
    monkeypatch.setattr(packing, "write_page", lambda *_, **__: made / "pack/data/report.html")
    root = copy_of(made / "book", tmp_path / "book")
    shutil.rmtree(root / "checkpoints")
    before = everything(root)
    with Book.open(root) as book:
        step = 0
        while True:
            asked = 0

            def stop(at: int = step) -> bool:
                nonlocal asked
                asked += 1
                return asked > at

            try:
                packed(book, tmp_path / name, key, stop=stop)
            except PackStopped:
                assert left_behind(tmp_path) == {"book"}
                assert everything(root) == before
                step += 1
            else:
                break
    assert step > 30
    assert left_behind(tmp_path) == {"book", name}


@pytest.mark.parametrize("name", ["out.zip", "out"])
def test_a_write_that_fails_leaves_nothing(
    made: Path, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setattr(packing, "write_report", lambda *_, **__: made / "pack/data/report.pdf")
    monkeypatch.setattr(packing, "write_page", lambda *_, **__: made / "pack/data/report.html")
    written = 0

    def copy(piece: object, sha256: str, write: Callable[[bytes], int]) -> None:
        nonlocal written
        written += 1
        write(b"half a file")
        if written > 9:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(archive, "_copy", copy)
    full = pytest.raises(CannotWrite, match="disk is full")
    with Book.open(copy_of(made / "book", tmp_path / "book")) as book, full:
        packed(book, tmp_path / name, key)
    assert left_behind(tmp_path) == {"book"}


@pytest.mark.parametrize("name", ["out.zip", "out"])
def test_what_a_kill_left_is_cleared_by_the_next_and_what_is_being_written_is_not(
    made: Path, key: Path, tmp_path: Path, name: str
) -> None:
    root = copy_of(made / "book", tmp_path / "book")
    code = (
        "import os, signal, sys\nfrom pathlib import Path\n"
        "from store.book import Book\nfrom tests.store.pack.packed import packed\n"
        "def tell(done, of, words):\n"
        "    if words.startswith('writing file 9'):\n"
        "        os.kill(os.getpid(), signal.SIGKILL)\n"
        "book, pack, key = map(Path, sys.argv[1:])\n"
        "packed(Book.open(book), pack, key, progress=tell)\n"
    )
    killed = subprocess.run(
        [sys.executable, "-c", code, str(root), str(tmp_path / name), str(key)],
        cwd=Path(__file__).parents[3], check=False,
    )  # fmt: skip
    assert killed.returncode == -signal.SIGKILL
    (left,) = left_behind(tmp_path) - {"book"}
    assert left.endswith(".part")
    with Book.open(root) as book:
        written: set[str] = set()

        def look(_done: int, _of: int, words: str) -> None:
            if words.startswith("writing file 9") and not written:
                written.update(left_behind(tmp_path) - {"book"})
                # A second one to the same name leaves the first one's file alone.
                packed(book, tmp_path / "second.zip", key)
                clear_left_of(tmp_path / name)
                assert written <= left_behind(tmp_path)

        packed(book, tmp_path / name, key, progress=look)
    assert left not in written
    assert left_behind(tmp_path) == {"book", name, "second.zip"}


def test_too_little_room_is_said_first(
    book: Book, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    free = shutil._ntuple_diskusage(10**9, 10**9 - 1000, 1000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: free)
    with pytest.raises(CannotWrite, match="the pack was not kept: the disk has 0 MB left"):
        packed(book, tmp_path / "out.zip", key)
    assert left_behind(tmp_path) == {"book"}


def test_nothing_is_overwritten_and_nothing_goes_into_a_book(
    book: Book, key: Path, tmp_path: Path
) -> None:
    (tmp_path / "there.zip").write_text("mine")
    (tmp_path / "link.zip").symlink_to(tmp_path / "nowhere")
    for target, words in (
        (tmp_path / "there.zip", "not overwritten"),
        (tmp_path / "link.zip", "not overwritten"),
        (tmp_path, "not overwritten"),
        (tmp_path / "none" / "out.zip", "no folder"),
        (book.root / "out.zip", "inside the book"),
        (book.root / "photos" / "out", "inside the book"),
    ):
        with pytest.raises(BadAct, match=words):
            packed(book, target, key)
    assert (tmp_path / "there.zip").read_text() == "mine"


# No pack is made of what is not sound.


def test_an_altered_photo_is_never_packed(book: Book, key: Path, tmp_path: Path) -> None:
    (path,) = [p for p in (book.root / "photos").rglob("*.jpg") if p.read_bytes() == FITTED]
    path.chmod(0o644)
    path.write_bytes(FITTED + b"!")
    with pytest.raises(PhotoAltered, match="altered book"):
        packed(book, tmp_path / "out.zip", key)
    assert left_behind(tmp_path) == {"book"}


def test_a_photo_changed_while_it_is_written_is_seen(book: Book, key: Path, tmp_path: Path) -> None:
    (path,) = [p for p in (book.root / "photos").rglob("*.jpg") if p.read_bytes() == FITTED]

    def swap(_done: int, _of: int, words: str) -> None:
        if words.startswith("writing"):
            path.chmod(0o644)
            path.write_bytes(FITTED[::-1])

    with pytest.raises(PhotoAltered, match="while the pack was made"):
        packed(book, tmp_path / "out.zip", key, progress=swap)
    assert left_behind(tmp_path) == {"book"}


def test_a_missing_photo_is_said(book: Book, key: Path, tmp_path: Path) -> None:
    (path,) = [p for p in (book.root / "photos").rglob("*.jpg") if p.read_bytes() == FITTED]
    path.unlink()
    with pytest.raises(PhotoMissing, match="is gone"):
        packed(book, tmp_path / "out.zip", key)


def test_a_broken_chain_is_never_packed(made: Path, key: Path, tmp_path: Path) -> None:
    root = copy_of(made / "book", tmp_path / "book")
    changed = [line.replace(b"20.1", b"20.2") for line in lines_of(root)]
    rows = [
        ("north", n, hashlib.sha256(line).hexdigest(), line) for n, line in enumerate(changed, 1)
    ]
    put_lines(root, rows)
    with Book.open(root) as book, pytest.raises(Damaged, match="chain is broken"):
        packed(book, tmp_path / "out.zip", key)


# Lines left out.


def test_a_line_left_out_leaves_its_hash_and_takes_its_files_along(
    book: Book, key: Path, tmp_path: Path
) -> None:
    kinds = {"paper kept", "owner said"}
    gone = [entry for entry in book.entries() if entry.kind in kinds]
    pack = packed(book, tmp_path / "out", key, leave_out=[entry.hash[:12] for entry in gone])
    chain = pack / "data/chains/north"
    assert (chain / "redacted.txt").read_text().split() == [entry.hash for entry in gone]
    hashes = (chain / "hashes.txt").read_text().split()
    assert hashes == [entry.hash for entry in book.entries()]
    shown = (chain / "ledger.jsonl").read_bytes()
    assert len(shown.splitlines()) == len(hashes) - 2
    whole = b"".join(files_by_content(pack))
    for secret in (SHEET, b"wept", b"sheet.txt"):
        assert secret not in whole
    assert not (pack / "data/report.pdf").exists()
    assert not (pack / "data/report.html").exists()
    assert "2 lines stay at the bench" in (pack / "data/HOW-TO-CHECK.txt").read_text()


def test_a_photo_stays_in_while_any_shown_line_names_it(
    book: Book, key: Path, tmp_path: Path
) -> None:
    taken = [e for e in book.entries() if e.kind == "photo taken"]
    only_filing = packed(book, tmp_path / "one", key, leave_out=[taken[0].hash])
    assert OIL_HOLE in files_by_content(only_filing)  # the marks still name it
    both = packed(book, tmp_path / "two", key, leave_out=[taken[0].hash, marked_entry(book)])
    assert OIL_HOLE not in files_by_content(both)
    assert not (both / "data/layers").exists()


def test_a_reading_left_out_is_in_no_table(book: Book, key: Path, tmp_path: Path) -> None:
    read = next(e for e in book.entries() if e.kind == "reading" and b"OH2.deep" in e.line)
    pack = packed(book, tmp_path / "out", key, leave_out=[str(read.seq)])
    assert "5.12" not in (pack / "data/readings.csv").read_text()
    assert "5.12" in (tmp_path / "book" / "ledger.db").read_bytes().decode("latin-1")


@pytest.mark.parametrize("kind", ["job started", "struck"])
def test_what_takes_something_back_must_be_shown(
    book: Book, key: Path, tmp_path: Path, kind: str
) -> None:
    entry = next(e for e in book.entries() if e.kind == kind)
    with pytest.raises(BadAct, match="can't be left out"):
        packed(book, tmp_path / "out.zip", key, leave_out=[entry.hash])
    with pytest.raises(NoSuchEntry):
        packed(book, tmp_path / "out.zip", key, leave_out=["ffffffffff"])


def test_any_one_line_can_be_left_out_or_is_refused(book: Book, key: Path, tmp_path: Path) -> None:
    """Whatever rests on it, table and drawings can be made of the rest."""
    refused = []
    for entry in book.entries():
        try:
            pack = packed(book, tmp_path / f"{entry.seq}", key, leave_out=[entry.hash])
        except BadAct:
            refused.append(entry.kind)
        else:
            assert entry.hash not in (pack / "data/readings.csv").read_text()
    assert refused == ["job started", "struck"]


# Checkpoints in the book.


def test_a_pack_leaves_its_checkpoint_in_the_book(book: Book, key: Path, tmp_path: Path) -> None:
    first = kept_checkpoints(book.root, "north")
    assert [each.text.split(b"\n")[0] for each in first] == [b"north/K-118"]
    packed(book, tmp_path / "same.zip", key)
    assert kept_checkpoints(book.root, "north") == first  # nothing was added since
    book.append(OwnerSaid("told", "collected", "in person"), **WHO)
    packed(book, tmp_path / "more.zip", key)
    assert len(kept_checkpoints(book.root, "north")) == 2
    packed(book, tmp_path / "other.zip", make_key(tmp_path))
    assert len(kept_checkpoints(book.root, "north")) == 3  # the same lines, another key
    found = verify(book.root, measure=small_job.measure)
    assert found == []


def test_a_changed_checkpoint_stops_the_next_pack(book: Book, key: Path, tmp_path: Path) -> None:
    (path,) = [p for p in (book.root / "checkpoints/north").iterdir() if p.suffix != ".sig"]
    path.write_bytes(path.read_bytes().replace(b"north/", b"south/"))
    acts.record_reading(book, reading("OH2.other", 5.1), **WHO)
    pack = packed(book, tmp_path / "out", key)
    assert pack.is_dir()
    content = path.read_bytes()
    path.write_bytes(content[:-2])
    with pytest.raises(BadPack, match="three lines"):
        packed(book, tmp_path / "out.zip", key)


def test_a_checkpoint_that_cannot_be_kept_stops_the_pack(
    book: Book, key: Path, tmp_path: Path
) -> None:
    shutil.rmtree(book.root / "checkpoints")
    (book.root / "checkpoints").write_text("in the way")
    with pytest.raises(CannotWrite, match="checkpoint"):
        packed(book, tmp_path / "out.zip", key)
    assert left_behind(tmp_path) == {"book"}
