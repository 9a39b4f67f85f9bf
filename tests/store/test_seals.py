"""The seal of a hold point: a photo of what closes it, once it is on."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from store.written import acts
from tests.store.bench_job import begin, sound
from tests.store.small_job import WHO, file_photo
from tests.store.test_hold_points import close, close_all, reopen


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book
        assert sound(the_book)


def test_the_seal_is_a_photo_taken_in_at_the_hold_point_after_it_was_closed(book: Book) -> None:
    file_photo(book, "lid", "what closes it", b"too early")
    close_all(book)
    hold = book.round().hold("lid")
    assert (len(hold.photos), hold.seal, hold.unsealed) == (1, None, True)
    file_photo(book, "lid", "overall", b"not the role")
    file_photo(book, "G3", "what closes it", b"not the place")
    assert book.round().hold("lid").unsealed
    photo = file_photo(book, "lid", "what closes it", b"the lid, on")
    seal = book.round().hold("lid").seal
    assert seal is not None
    assert seal.taken.photo == photo
    assert not book.round().hold("caps").unsealed  # the plan asks for none


def test_a_seal_struck_or_from_before_a_reopening_is_none(book: Book) -> None:
    close_all(book)
    file_photo(book, "lid", "what closes it", b"the lid, on")
    reopen(book, "lid")
    assert not book.round().hold("lid").unsealed  # it is open: nothing to seal
    close(book, "lid")
    assert book.round().hold("lid").unsealed
    file_photo(book, "lid", "what closes it", b"the lid, on again")
    assert not book.round().hold("lid").unsealed
    acts.strike(book, book.entries()[-1].hash, "another engine's lid", **WHO)
    assert book.round().hold("lid").unsealed
