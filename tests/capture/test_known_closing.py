"""Closing by what was worked out before: the very same as the full way, or the full way itself."""

import os
import re
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from capture.commands import ahead
from capture.commands.kept_answers import HOLDS, KeptAnswer
from store.book import Book
from store.codec import Entry, decode
from store.known.fingerprint import fingerprint
from store.known.hold_stands import Stands
from store.ledger import FILE_NAME
from store.written.closing import close_as_known
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.command import SAMPLES, Done, run
from tests.capture.test_commands_bench import read_everything
from tests.store.small_job import WHO

WAIVED = ("--reason", "seen", "--decided-by", "Ann", "--owner-agreed", "by phone")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Give a book of which the crank may be closed, and the sump may not yet."""
    plan = tmp_path / "plan.toml"
    plan.write_text(BENCH_PLAN, encoding="utf-8")
    run("start", plan, tmp_path / "book", "--by", "Ann", "--bench", "bench-1")
    read_everything(tmp_path / "book")
    run("debris", tmp_path / "book", "G1", "--how", "brushed", "--clean", "yes")
    for plug in ("G2", "G3"):
        run("plug", tmp_path / "book", plug, "in", "--piece", f"bag {plug}")
    return tmp_path / "book"


@pytest.fixture
def read_whole(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Give the books that were read whole, each time one was."""
    opened: list[Path] = []
    really = Book.open.__func__  # type: ignore[attr-defined]

    def told(cls: type[Book], root: Path, **options: bool) -> Book:
        opened.append(root)
        book: Book = really(cls, root, **options)
        return book

    monkeypatch.setattr(Book, "open", classmethod(told))
    return opened


def cache() -> Path:
    return Path(os.environ["XDG_CACHE_HOME"], "benchproof")


def forget() -> None:
    shutil.rmtree(cache(), ignore_errors=True)


def last(root: Path) -> Entry:
    with sqlite3.connect(root / FILE_NAME) as database:
        (line,) = database.execute("SELECT line FROM entries ORDER BY id DESC LIMIT 1").fetchone()
    database.close()
    return decode(line)


def both_ways(book: Path, read_whole: list[Path], *words: str) -> Done:
    """Close in two copies of a book, by what is known and the full way: nothing may differ."""
    done = []
    for way in ("known", "full"):
        copy = book.with_name(way)
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(book, copy)
        if way == "full":
            forget()
        read_whole.clear()
        told = run("close", copy, *words, "--by", "Ann")
        assert bool(read_whole) == (way == "full")
        entry = last(copy)
        # The root that closing the job tells is of lines with salts of their own.
        told = told._replace(out=re.sub("[0-9a-f]{64}", "ROOT", told.out))
        done.append((told, entry.evidence, entry.seq, entry.prev, entry.bench, entry.by))
        assert run("verify", copy).code == 0
        assert run("round", copy).out == worked_out(copy)
    assert done[0] == done[1]
    return done[0][0]


def worked_out(book: Path) -> str:
    """Return the round as it is without anything kept."""
    kept = cache().with_name("kept")
    cache().rename(kept)
    told = run("round", book).out
    forget()
    kept.rename(cache())
    return told


def test_a_closing_and_a_refusal_are_the_same_both_ways(book: Path, read_whole: list[Path]) -> None:
    early = both_ways(book, read_whole, "sump")
    assert early.code == 6
    assert "crank: is hidden by it and must be closed first" in early.err
    run("round", book)
    assert both_ways(book, read_whole, "sump", "--json").answer()["state"] == "open"
    run("round", book)
    assert both_ways(book, read_whole, "crank").code == 0
    assert run("close", book, "crank").code == 0
    for place in ("G1", "G2", "G3", "M1", "S1"):
        run("photo", book, SAMPLES / "bearing-1.jpg", "--at", place, "--role", "fitted")
    sealed = both_ways(book, read_whole, "sump")
    assert (sealed.code, sealed.err) == (0, "")
    assert "closed, not sealed" in sealed.out
    assert "caution: " in sealed.out
    run("round", book)
    assert both_ways(book, read_whole, "sump", "--json").answer()["unsealed"] is True


def test_a_count_that_does_not_close_is_said_both_ways(book: Path, read_whole: list[Path]) -> None:
    run("plug", book, "G2", "out")
    assert "count: plugs out and not in again: G2" in both_ways(book, read_whole, "crank").err


def test_what_the_full_way_has_words_for_is_left_to_it(book: Path, read_whole: list[Path]) -> None:
    run("round", book)
    assert "nowhere" in run("close", book, "nowhere").err
    assert run("close", book, "crank").code == 0
    run("round", book)
    read_whole.clear()
    assert "closed already" in run("close", book, "crank").err
    assert read_whole


def test_a_waiver_goes_the_full_way(book: Path, read_whole: list[Path]) -> None:
    run("round", book)
    read_whole.clear()
    assert run("close", book, "sump", "--waive", "G2", *WAIVED).code == 6
    assert "G2" not in run("close", book, "sump").err
    assert read_whole
    run("round", book)
    assert "needs --waive" in run("close", book, "crank", "--reason", "seen").err


def test_what_was_filed_since_is_decided_by(book: Path, read_whole: list[Path]) -> None:
    run("round", book)
    kept = sorted(cache().iterdir())
    with Book.open(book) as opened:
        wrong = next(e for e in opened.entries() if e.kind == "reading")
    shutil.copytree(cache(), cache().with_name("kept"))
    run("strike", book, str(wrong.seq), "--reason", "misread")
    forget()
    cache().with_name("kept").rename(cache())
    assert sorted(cache().iterdir()) == kept
    read_whole.clear()
    assert run("close", book, "crank").code == 6
    assert read_whole


def _alter(content: bytes) -> bytes:
    return content.replace(b'"unproven":[[', b'"unproven":[["M1.bore","x"],[')


DAMAGE: tuple[Callable[[bytes], bytes], ...] = (
    _alter, lambda content: content[:-9], lambda _: b"", lambda _: b"\xff\xfe\n{}",
    lambda content: content.partition(b"\n")[0] + b"\n",
)  # fmt: skip


@pytest.mark.parametrize("damage", DAMAGE)
def test_a_damaged_memo_is_as_none(
    book: Path, read_whole: list[Path], damage: Callable[[bytes], bytes]
) -> None:
    for path in cache().iterdir():
        path.write_bytes(damage(path.read_bytes()))
    assert run("close", book, "sump").code == 6
    assert read_whole


def test_the_memo_of_another_book_under_this_ones_name_is_as_none(
    book: Path, read_whole: list[Path], tmp_path: Path
) -> None:
    name = KeptAnswer(fingerprint(book), HOLDS)._name
    shutil.copytree(book, tmp_path / "other")
    run("plug", tmp_path / "other", "G2", "out")
    other = KeptAnswer(fingerprint(tmp_path / "other"), HOLDS)._name
    shutil.copy(cache() / other, cache() / name)
    assert run("close", book, "crank").code == 0
    assert read_whole


@pytest.mark.parametrize("is_folder", [True, False])
def test_a_memo_that_others_may_write_to_is_as_none(
    book: Path, read_whole: list[Path], is_folder: bool
) -> None:
    for path in (cache(),) if is_folder else tuple(cache().iterdir()):
        path.chmod(0o777)
    assert run("close", book, "crank").code == 0
    assert read_whole


def test_the_memo_of_another_version_is_as_none(
    book: Path, read_whole: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.version", "another Python")
    assert run("close", book, "crank").code == 0
    assert read_whole


def test_a_sound_memo_of_another_shape_is_as_none(book: Path, read_whole: list[Path]) -> None:
    KeptAnswer(fingerprint(book), HOLDS).keep('{"bench":"bench-1","holds":[],"last":1}')
    assert run("close", book, "crank").code == 0
    assert read_whole


ALTERED = "UPDATE entries SET line = CAST(replace(line, '58.352', '58.353') AS BLOB) WHERE seq = 2"
TAKEN_OUT = "DELETE FROM entries WHERE seq = 3"  # every line left is the one that was hashed


def break_chain(book: Path, how: str = ALTERED) -> None:
    with sqlite3.connect(book / FILE_NAME) as database:
        database.execute("DROP TRIGGER entries_stay")
        database.execute("DROP TRIGGER entries_last")
        database.execute(how)
    database.close()


@pytest.mark.parametrize("how", [ALTERED, TAKEN_OUT])
def test_nothing_is_known_of_a_broken_chain(book: Path, how: str) -> None:
    break_chain(book, how)
    before = sorted(cache().iterdir())
    number = last(book).seq
    assert "chain is broken" in run("round", book).err
    assert sorted(cache().iterdir()) == before
    refused = run("close", book, "crank")
    assert (refused.code, last(book).seq) == (7, number)
    assert "chain is broken" in refused.err


def test_what_is_altered_while_a_verb_runs_is_not_known(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    forget()
    really = ahead.see

    def see_then_alter(opened: Book, *more: object) -> None:
        really(opened, *more)  # type: ignore[arg-type]
        break_chain(book)

    monkeypatch.setattr("capture.commands.books.see", see_then_alter)
    assert run("plug", book, "G2", "out").code == 0
    assert not cache().exists()


def known_of(book: Path) -> Stands:
    text = KeptAnswer(fingerprint(book), HOLDS).text
    assert text is not None
    stands = Stands.read(text)
    assert stands is not None
    return stands


def test_only_the_bytes_under_the_lock_are_asked_about(book: Path) -> None:
    stands, there, number = known_of(book), fingerprint(book), last(book).seq
    asked = []

    def known(under_lock: str) -> Stands | None:
        asked.append(under_lock)
        return stands if under_lock == there else None

    with Book.open(book) as opened:
        opened.append(opened.entries()[-1].evidence, **WHO)
    assert close_as_known(book, "crank", known, **WHO) is None
    assert asked == [fingerprint(book)]
    assert asked != [there]
    assert last(book).seq == number + 1


@pytest.mark.parametrize("wrong", [{"last": "0" * 64}, {"bench": "bench-2"}])
def test_a_ledger_that_does_not_end_as_known_is_left_alone(
    book: Path, wrong: dict[str, str]
) -> None:
    stands, before = known_of(book), (book / FILE_NAME).read_bytes()
    members = {name: getattr(stands, name) for name in stands.__struct_fields__}
    assert close_as_known(book, "crank", lambda _: Stands(**members | wrong), **WHO) is None
    assert (book / FILE_NAME).read_bytes() == before


def test_the_write_lock_is_held_from_the_look_to_the_entry(book: Path) -> None:
    stands, tries = known_of(book), []
    code = (
        "import sqlite3, sys; d = sqlite3.connect(sys.argv[1], timeout=0, isolation_level=None)\n"
        "try: d.execute('BEGIN IMMEDIATE')\n"
        "except sqlite3.OperationalError as error: print(error)"
    )

    def known(_: str) -> Stands:
        done = subprocess.run(
            [sys.executable, "-c", code, str(book / FILE_NAME)],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        tries.append(done.stdout.strip())
        return stands

    closing = close_as_known(book, "crank", known, **WHO)
    assert closing is not None
    assert closing.entry is not None
    assert tries == ["database is locked"]


ACTS = (
    ("reading", "S1.sealant", "grey, batch 8"),
    ("photo", str(SAMPLES / "bearing-1.jpg"), "--at", "M1", "--role", "close-up"),
    ("strike", "3", "--reason", "misread"),
    ("rework", "M1.journal", "--what", "polished"),
    ("plug", "G2", "out"),
    ("gauge", "mic-1", "suspect", "--since", "2026-01-01", "--reason", "dropped"),
    ("close", "sump"),
    ("close", "crank"),
)


@pytest.mark.parametrize("act", ACTS, ids=lambda act: act[0])
def test_an_act_leaves_the_round_for_whoever_looks_next(
    book: Path, act: tuple[str, ...], read_whole: list[Path]
) -> None:
    forget()
    verb, *words = act
    done = run(verb, book, *words)
    assert done.code in {0, 6}, done.err
    read_whole.clear()
    told = run("round", book)
    assert read_whole == []
    assert told.out == worked_out(book)
    assert known_of(book).last == last(book).hash


@pytest.mark.parametrize("error", [KeyboardInterrupt, OSError, ValueError])
def test_what_goes_wrong_afterwards_says_nothing(
    book: Path, error: type[BaseException], monkeypatch: pytest.MonkeyPatch
) -> None:
    forget()

    def fail(*_: object) -> str:
        raise error

    monkeypatch.setattr("store.known.unaltered.fingerprint_of", fail)
    done = run("plug", book, "G3", "out", "--by", "Ann")
    assert (done.code, done.err) == (0, "")
    assert not cache().exists()
