"""Another program writes to the same book while a verb is at work: each tells of its own act."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from capture import vouched
from store.book import Book
from store.ledger import Ledger, Writer
from store.pack.job_closed import keep_closing
from store.pack.signing_key import bench_key
from store.written import acts, bench_acts
from tests.capture.command import run
from tests.store.small_job import WHO, answer, file_photo, new_book, reading

Write = Callable[[Book], object]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    with new_book(root) as new:
        acts.record_reading(new, reading("P3.bore", 20.0), **WHO)
    return root


@pytest.fixture
def around(book: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Write, Write], list[str]]:
    """Let another program write right before a verb has the book, and right after its act."""

    def write(before: Write, after: Write) -> list[str]:
        real, done = Ledger.transaction, []

        @contextmanager
        def late(ledger: Ledger, bench: str) -> Iterator[Writer]:
            if not done:
                done.append("begun")
                with Book.open(book) as other:
                    before(other)
                done.append("before")
            with real(ledger, bench) as writer:
                yield writer
            if writer.written and done[-1] == "before":
                done.append("after")
                with Book.open(book) as other:
                    after(other)

        monkeypatch.setattr(Ledger, "transaction", late)
        return done

    return write


def clean(*, said: bool = True) -> Write:
    return lambda other: acts.record_reading(other, answer("P3.clean", said=said), **WHO)


def plug(value: float) -> Write:
    return lambda other: acts.record_reading(other, reading("P3.plug", value), **WHO)


def test_a_reading_tells_what_follows_from_it_alone(
    book: Path, around: Callable[[Write, Write], list[str]]
) -> None:
    done = around(clean(), plug(20.5))
    told = run("reading", book, "P3.plug", "20.10 mm", "--json").answer()
    assert done == ["begun", "before", "after"]
    assert [(each["key"], each["state"]) for each in told["following"]] == [("P3.nip", "within")]
    assert "P3.nip: outside" not in str(told)
    walked = run("round", book, "--json").answer()
    assert "outside" in str(walked)


def test_a_strike_tells_what_changed_by_it_alone(
    book: Path, around: Callable[[Write, Write], list[str]]
) -> None:
    done = around(clean(), plug(20.1))
    told = run("strike", book, "2", "--reason", "misread", "--json").answer()
    assert done == ["begun", "before", "after"]
    assert [each["key"] for each in told["changed"]] == ["P3.bore"]


def test_a_rework_tells_what_must_be_read_again_for_it_alone(
    book: Path, around: Callable[[Write, Write], list[str]]
) -> None:
    def struck(other: Book) -> object:
        return acts.strike(other, 2, "misread", **WHO)

    with Book.open(book) as opened:
        clean()(opened)
    done = around(plug(20.1), struck)
    told = run("rework", book, "P3.plug", "--what", "polished", "--json").answer()
    assert done == ["begun", "before", "after"]
    assert [each["key"] for each in told["read_again"]] == ["P3.plug", "P3.nip"]


def test_a_closing_tells_what_it_found_and_not_what_came_after(
    book: Path, around: Callable[[Write, Write], list[str]]
) -> None:
    def prove(other: Book) -> None:
        plug(20.1)(other)
        clean()(other)
        file_photo(other, "P3")

    done = around(lambda _: None, prove)
    refused = run("close", book, "lid", "--json")
    assert done == ["begun", "before", "after"]
    assert refused.code == 6
    assert {each["key"] for each in refused.answer()["unproven"]} >= {"P3.plug", "P3.clean", "P3"}
    around(
        lambda _: None,
        lambda other: bench_acts.reopen(other, "lid", "looked again", **WHO),
    )
    closed = run("close", book, "lid", "--json")
    assert (closed.code, closed.answer()["state"]) == (0, "closed")


def test_what_is_handed_out_is_held_against_the_lines_that_it_is_of(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    key = bench_key(tmp_path / "keys")
    keep_closing(book, key)
    really, done = Book.still, []

    def late(self: Book) -> object:
        if not done:
            done.append(1)
            with Book.open(book) as other:
                clean()(other)
            keep_closing(book, key)
        return really(self)

    with Book.open(book) as opened, opened.still():
        monkeypatch.setattr(Book, "still", late)
        (root,) = vouched.vouched(opened, tmp_path / "keys").roots
        assert done
        assert (root.entries, root.later) == (2, 1)
        (root,) = vouched.vouched(opened, tmp_path / "keys").roots
        assert (root.entries, root.later) == (3, 0)


def test_a_round_that_was_overtaken_is_not_kept_for_the_next(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is kept is kept for the book it was worked out from."""
    real, done = Book.round, []

    def late(self: Book, **how: Any) -> object:
        walked = real(self, **how)
        if not done:
            done.append(1)
            with Book.open(book) as other:
                clean()(other)
        return walked

    monkeypatch.setattr(Book, "round", late)
    first = run("round", book)
    second = run("round", book)
    assert done
    assert "yes" not in first.out
    assert "yes" in second.out
