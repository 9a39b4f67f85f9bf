"""Look-ups over many jobs: what is found, what is read again, and what a bad book does."""

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

from store import shop
from store.book import Book
from store.change import GaugeSet
from store.errors import CannotWrite
from store.evidence import PlanChanged
from store.many_jobs.shop_file import ShopFile, is_shop_file
from store.many_jobs.sought import Sought, has_words
from store.shop import GONE, Shop
from store.ways_out.listing import check_rows
from store.written import acts
from tests.store.jobs import job_book
from tests.store.small_job import WHO, reading

JOBS = (
    ("J-1", {"customer": "Ada Quill", "engine": "Two-cylinder pump", "nip": 0.1}),
    ("J-12", {"customer": "Öst & Row", "engine": "inline four", "nip": 0.19, "day": 3}),
    ("K-3", {"customer": "Ada Quill", "engine": "50% V twin", "nip": None, "day": 4}),
)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three jobs in folders of different depth."""
    folder = tmp_path_factory.mktemp("shelf")
    for at, (number, facts) in enumerate(JOBS):
        place = folder.joinpath(*["deeper"] * at, number)
        place.parent.mkdir(parents=True, exist_ok=True)
        job_book(place, number, **facts)
    return folder


def opened(folder: Path, path: Path | None = None, version: str = "1") -> Shop:
    looked = Shop(ShopFile(path, version=version))
    looked.refresh([folder])
    return looked


def found(folder: Path, **asked: str) -> list[tuple[str, str]]:
    with closing(opened(folder)) as looked:
        return [(str(row["job"]), str(row["key"])) for row in looked.checks(Sought(**asked))]


def jobs(folder: Path, **asked: str) -> list[str]:
    with closing(opened(folder)) as looked:
        return [str(row["job"]) for row in looked.books(Sought(**asked))]


def test_every_book_is_found_however_deep_the_latest_first(shelf: Path) -> None:
    assert jobs(shelf) == ["K-3", "J-12", "J-1"]


@pytest.mark.parametrize(
    ("asked", "there"),
    [
        ({"customer": "quill"}, ["K-3", "J-1"]),
        ({"customer": "öST"}, ["J-12"]),
        ({"engine": "PUMP"}, ["J-1"]),
        ({"engine": "%"}, ["K-3"]),
        ({"engine": "i_line"}, []),
        ({"job": "J-1"}, ["J-1"]),
        ({"job": "j-"}, ["J-12", "J-1"]),
        ({"customer": "quill", "engine": "v twin"}, ["K-3"]),
        ({"customer": "' OR 1=1 --"}, []),
    ],
)
def test_books_are_found_by_customer_engine_and_job(
    shelf: Path, asked: dict[str, str], there: list[str]
) -> None:
    assert jobs(shelf, **asked) == there


@pytest.mark.parametrize(
    ("asked", "there"),
    [
        ({"check": "P3.nip", "verdict": "outside"}, [("J-12", "P3.nip")]),
        ({"verdict": "outside"}, [("J-12", "P3.nip")]),
        ({"check": "NIP", "job": "J-1"}, [("J-1", "P3.nip")]),
        ({"check": "how deep", "job": "J-1"}, [("J-1", "OH2.deep")]),
        ({"check": "second oil", "job": "K-3", "words": "end?"}, [("K-3", "OH2.other")]),
        # All that rests on a gauge: its reading, and the difference worked out from that.
        ({"gauge": "mic-2", "job": "J-1"}, [("J-1", "P3.plug"), ("J-1", "P3.nip")]),
        ({"gauge": "micrometer", "check": "nip"}, [("J-12", "P3.nip"), ("J-1", "P3.nip")]),
        ({"gauge": "mic-3"}, []),
        ({"check": "nip", "verdict": "not measured"}, [("K-3", "P3.nip")]),
        ({"words": "20.19"}, [("J-12", "P3.plug")]),
        ({"words": '"plug minus" quil'}, [("K-3", "P3.nip"), ("J-1", "P3.nip")]),
        ({"words": '"minus plug"'}, []),
        ({"check": "nip'--", "words": "x"}, []),
    ],
)
def test_checks_are_found_by_what_they_are(
    shelf: Path, asked: dict[str, str], there: list[tuple[str, str]]
) -> None:
    assert found(shelf, **asked) == there


@pytest.mark.parametrize("words", ['1-3/8"', "NOT", "a OR", "(", "*", '"', "key:x", "^a", "-1"])
def test_words_are_words_and_never_a_language(shelf: Path, words: str) -> None:
    """Each of these is a syntax error, or means something else, to SQLite's search unquoted."""
    assert set(found(shelf, words=f"plug {words}")) <= set(found(shelf, words="plug"))
    assert has_words(words) == any(letter.isalnum() for letter in words)


def test_a_check_is_found_by_what_was_typed_of_it(tmp_path: Path) -> None:
    job_book(tmp_path / "a", "J-1", nip=None)
    with Book.open(tmp_path / "a") as book:
        acts.record_reading(book, replace(reading("P3.bore", 34.925), text='1-3/8"'), **WHO)
    assert found(tmp_path, words='1-3/8"') == [("J-1", "P3.bore")]
    assert found(tmp_path, words="3/8") == [("J-1", "P3.bore")]
    assert found(tmp_path, words="8-3/1") == []


def test_what_is_found_is_what_the_book_says(shelf: Path) -> None:
    with closing(opened(shelf)) as looked:
        rows = looked.checks(Sought(job="J-12"))
        with Book.open(shelf / "deeper" / "J-12", read_only=True) as book:
            said = list(check_rows(book.round()))
    assert [{name: row[name] for name in said[0]} for row in rows] == said
    assert {row["customer"] for row in rows} == {"Öst & Row"}


def test_every_reading_is_found_struck_ones_too(tmp_path: Path) -> None:
    root = job_book(tmp_path / "a", "J-1")
    with Book.open(root) as book:
        first = book.round().check("P3.bore").attempts[0].stamp.entry
        acts.strike(book, first, "wrong end", **WHO)
        acts.record_reading(book, reading("P3.bore", 20.01), **WHO)
    with closing(opened(tmp_path)) as looked:
        rows = looked.readings(Sought(check="bore"))
        assert [(row["counts"], row["struck"]) for row in rows] == [
            (0, "wrong end (R. Tamm)"), (1, ""),
        ]  # fmt: skip
        rested = looked.readings(Sought(gauge="MIC-2"))
        assert {row["key"] for row in rested} == {"P3.plug", "P3.nip"}


class Counted:
    """Counts which books are really read."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.read: list[str] = []
        really = shop._read

        def read(root: Path) -> object:
            self.read.append(root.name)
            return really(root)

        monkeypatch.setattr(shop, "_read", read)

    def at(self, folder: Path, path: Path, version: str = "1") -> list[str]:
        self.read.clear()
        opened(folder, path, version).close()
        return sorted(self.read)


def test_only_a_book_that_was_written_to_is_read_again(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, index, counted = tmp_path / "shelf", tmp_path / "shop.db", Counted(monkeypatch)
    shutil.copytree(shelf, place)
    assert counted.at(place, index) == ["J-1", "J-12", "K-3"]
    assert counted.at(place, index) == []
    with Book.open(place / "J-1") as book:
        acts.record_reading(book, reading("P3.bore", 20.05), **WHO)
    assert counted.at(place, index) == ["J-1"]
    # Copied back from a backup: another file, the same bytes.
    os.utime(place / "deeper" / "J-12" / "ledger.db", ns=(1, 1))
    assert counted.at(place, index) == []
    assert counted.at(place, index, version="2") == ["J-1", "J-12", "K-3"]


def test_a_new_value_is_found_and_the_old_one_is_not(tmp_path: Path) -> None:
    root, index = job_book(tmp_path / "a", "J-1"), tmp_path / "shop.db"
    opened(tmp_path, index).close()
    with Book.open(root) as book:
        acts.record_reading(book, reading("P3.plug", 20.33), **WHO)
    with closing(opened(tmp_path, index)) as looked:
        (row,) = looked.checks(Sought(check="nip"))
        assert (row["value"], row["state"]) == (0.33, "outside")
        assert [row["key"] for row in looked.checks(Sought(words="20.33"))] == ["P3.plug"]


@pytest.mark.parametrize(
    "damage", ["no database", "ledger gone", "a pipe", "a byte changed", "not allowed"]
)
def test_a_book_that_can_not_be_read_is_listed_with_the_reason(
    shelf: Path, tmp_path: Path, damage: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "shelf"
    shutil.copytree(shelf, place)
    ledger = place / "J-1" / "ledger.db"
    if damage == "no database":
        ledger.write_bytes(b"nothing of the kind" * 500)
    elif damage == "ledger gone":
        ledger.unlink()
    elif damage == "a pipe":
        ledger.unlink()
        os.mkfifo(ledger)
    elif damage == "a byte changed":
        content = ledger.read_bytes()
        assert content.count(b'"text":"20.0 mm"') == 1
        ledger.write_bytes(content.replace(b'"text":"20.0 mm"', b'"text":"20.1 mm"'))
    else:
        really = Book.open

        def refuse(root: Path, **options: object) -> Book:
            if root.name == "J-1":
                raise PermissionError(13, "Permission denied", str(root))
            return really(root, **options)

        monkeypatch.setattr(Book, "open", refuse)
    with closing(opened(place)) as looked:
        problems = {Path(str(b["path"])).name: b["problem"] for b in looked.books(Sought())}
        assert problems.pop("J-1")
        assert set(problems.values()) == {""}
        assert {row["job"] for row in looked.checks(Sought(check="nip"))} == {"J-12", "K-3"}


def test_whatever_a_book_brings_about_ends_nothing(
    shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def burst(*_: object) -> object:
        raise RecursionError("too deep")

    monkeypatch.setattr(shop, "found_in", burst)
    with closing(opened(shelf)) as looked:
        assert {book["problem"] for book in looked.books(Sought())} == {"too deep"}


def test_a_book_that_is_gone_is_told_and_found_again(shelf: Path, tmp_path: Path) -> None:
    place, index = tmp_path / "shelf", tmp_path / "shop.db"
    shutil.copytree(shelf, place)
    opened(place, index).close()
    (place / "J-1").rename(tmp_path / "away")
    with closing(opened(place, index)) as looked:
        (gone,) = (book for book in looked.books(Sought()) if book["problem"])
        assert (gone["job"], gone["problem"]) == ("J-1", GONE)
        assert looked.checks(Sought(job="J-1")) == []
    (tmp_path / "away").rename(place / "J-1")
    with closing(opened(place, index)) as looked:
        assert {book["problem"] for book in looked.books(Sought())} == {""}
        assert len(looked.checks(Sought(job="J-1"))) == 8


def test_of_copies_the_one_with_the_most_entries_is_looked_at(tmp_path: Path) -> None:
    job_book(tmp_path / "backup", "J-1")
    shutil.copytree(tmp_path / "backup", tmp_path / "in work")
    with Book.open(tmp_path / "in work") as book:
        acts.record_reading(book, reading("P3.bore", 20.05), **WHO)
    with closing(opened(tmp_path)) as looked:
        rows = looked.checks(Sought(check="bore"))
        assert [(Path(str(row["path"])).name, row["value"]) for row in rows] == [("in work", 20.05)]
        copies = {Path(str(b["path"])).name: b["copy_of"] for b in looked.books(Sought())}
        assert copies == {"in work": "", "backup": str(tmp_path / "in work")}
        # Where only the backup is looked through, it is what there is.
        looked.refresh([tmp_path / "backup"])
        (row,) = looked.checks(Sought(check="bore"))
        assert Path(str(row["path"])).name == "backup"


def test_only_the_folders_named_are_looked_through(shelf: Path, tmp_path: Path) -> None:
    index = tmp_path / "shop.db"
    opened(shelf, index).close()
    with closing(opened(shelf / "deeper", index)) as looked:
        assert [book["job"] for book in looked.books(Sought())] == ["K-3", "J-12"]


@pytest.mark.parametrize("damage", ["not a database", "torn", "of another program"])
def test_a_damaged_or_older_index_is_made_again(shelf: Path, tmp_path: Path, damage: str) -> None:
    index = tmp_path / "shop.db"
    opened(shelf, index).close()
    content = index.read_bytes()
    if damage == "not a database":
        index.write_bytes(b"nothing of the kind" * 300)
    elif damage == "torn":
        index.write_bytes(content[:4096] + b"\xaa" * (len(content) - 4096))
    else:
        index.unlink()
        with closing(sqlite3.connect(index)) as other:
            other.execute("CREATE TABLE books (x)")
    with closing(opened(shelf, index)) as looked:
        assert len(looked.checks(Sought(check="nip"))) == 3
    assert is_shop_file(index)


@pytest.mark.parametrize("share", [0.3, 0.5, 0.7, 0.9])
def test_an_index_that_is_torn_anywhere_is_made_again_when_that_shows(
    shelf: Path, tmp_path: Path, share: float
) -> None:
    index = tmp_path / "shop.db"
    opened(shelf, index).close()
    content = index.read_bytes()
    whole = int(len(content) * share) // 4096 * 4096
    index.write_bytes(content[:whole] + b"\xaa" * (len(content) - whole))
    with closing(opened(shelf, index)) as looked:
        assert len(looked.checks(Sought(check="nip"))) == 3
        assert len(looked.readings(Sought(check="nip"))) == 2
        assert len(looked.checks(Sought(words="plug minus"))) == 3
        assert len(looked.checks(Sought(gauge="mic-2", check="nip"))) == 2


def test_an_index_that_can_not_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="--index"):
        ShopFile(tmp_path / "no folder" / "shop.db", version="1")


def test_a_folder_whose_name_is_no_text_is_looked_through(shelf: Path, tmp_path: Path) -> None:
    """A name in Latin-1, as older systems wrote it."""
    place = Path(os.fsdecode(os.fsencode(tmp_path) + b"/J\xf6rg"))
    shutil.copytree(shelf / "J-1", place / "b\N{LATIN SMALL LETTER U WITH DIAERESIS}ch")
    index = tmp_path / "shop.db"
    for _ in range(2):
        with closing(opened(place, index)) as looked:
            (book,) = looked.books(Sought())
            assert str(book["path"]).endswith("J\\xf6rg/b\N{LATIN SMALL LETTER U WITH DIAERESIS}ch")
            assert len(looked.checks(Sought())) == 8
    shutil.rmtree(place)
    place.mkdir()
    with closing(opened(place, index)) as looked:
        assert [book["problem"] for book in looked.books(Sought())] == [GONE]


def test_two_look_at_once_and_neither_hinders_the_other(shelf: Path, tmp_path: Path) -> None:
    index = tmp_path / "shop.db"
    with closing(opened(shelf, index)) as one, closing(opened(shelf / "deeper", index)) as two:
        one.refresh([shelf])
        assert len(one.books(Sought())) == 3
        assert len(two.books(Sought())) == 2


def test_a_copy_being_made_and_what_lies_in_a_book_are_not_looked_at(
    shelf: Path, tmp_path: Path
) -> None:
    shutil.copytree(shelf / "J-1", tmp_path / "J-1")
    shutil.copytree(shelf / "deeper" / "J-12", tmp_path / ".J-12.0a1b.part")
    shutil.copytree(shelf / "deeper" / "J-12", tmp_path / "J-1" / "forks" / "J-12")
    assert jobs(tmp_path) == ["J-1"]


def test_a_gauge_is_found_by_the_number_engraved_on_it(tmp_path: Path) -> None:
    """Its name in the job may be another in each; the number is the tool's own."""
    job_book(tmp_path / "a", "J-1")
    job_book(tmp_path / "b", "J-2")
    with Book.open(tmp_path / "b") as book:
        gauge = replace(book.plan.gauges[0], marked="M 77")
        book.append(PlanChanged(GaugeSet(gauge), "read off it"), **WHO)
    assert found(tmp_path, gauge="m 77") == [("J-2", "P3.plug"), ("J-2", "P3.nip")]


def test_the_latest_is_the_one_last_written_to(tmp_path: Path) -> None:
    for day, number in ((2, "J-1"), (5, "J-2")):
        job_book(tmp_path / number, number, day=day)
    assert jobs(tmp_path) == ["J-2", "J-1"]
    with Book.open(tmp_path / "J-1") as book:
        late = {**WHO, "at": "2026-03-09T09:00:00+01:00"}
        acts.record_reading(book, reading("P3.bore", 20.0), **late)
    assert jobs(tmp_path) == ["J-1", "J-2"]


def test_a_folder_that_can_not_be_looked_into_is_told(
    shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    really = os.scandir

    def scan(place: object) -> object:
        if str(place).endswith("deeper"):
            raise PermissionError(13, "Permission denied", str(place))
        return really(place)

    monkeypatch.setattr(os, "scandir", scan)
    with closing(opened(shelf)) as looked:
        assert [book["job"] for book in looked.books(Sought())] == ["J-1"]
        assert looked.unseen == (f"{shelf / 'deeper'}: Permission denied",)
