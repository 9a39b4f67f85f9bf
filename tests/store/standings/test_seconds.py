"""A second person's blind marks are compared with the first's and never count instead of them."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from annotate.quantity import Quantity
from annotate.result import BudgetLine, Known
from store.agree import PERSONAL
from store.book import Book
from store.errors import BadAct
from store.evidence import Derived, Judged, Marked
from store.written import acts
from tests.store.bench_job import begin
from tests.store.small_job import WHO, file_photo, marks

OTHER = {"at": "2026-03-02T15:00:00+01:00", "by": "L. Saar"}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book


def marked(photo: str, covered: float = 0.3, points: float = 1.0, **changes: Any) -> Marked:
    """Return marks with this coverage, of which the placed points are unsure by ``points``."""
    record = marks(photo)
    source = next(iter(PERSONAL))
    result = msgspec.structs.replace(
        record.result,
        covered=Known(Quantity(covered, "1", u=0.01)),
        budget=(BudgetLine(source, points),) if points else (),
    )
    return msgspec.structs.replace(record, key="OH1.cover", result=result, **changes)


def first_marks(book: Book, covered: float = 0.3) -> str:
    photo = file_photo(book, "OH1", "with scale")
    acts.record_marks(book, marked(photo, covered), **WHO)
    return photo


def first_entry(book: Book) -> str:
    return next(e.hash for e in book.entries() if isinstance(e.evidence, Marked))


def second(book: Book, photo: str, covered: float = 0.33, **changes: Any) -> None:
    blind = {"blind": True, "second_to": first_entry(book)} | changes
    acts.record_marks(book, marked(photo, covered, **blind), **OTHER)


def test_another_persons_marks_are_compared_and_never_judged(book: Book) -> None:
    photo = first_marks(book)
    judged = sum(isinstance(e.evidence, Judged) for e in book.entries())
    second(book, photo)
    check = book.round().check("OH1.cover")
    assert check.value is not None
    assert check.value.value == 0.3
    assert len(check.attempts) == 1
    assert judged == sum(isinstance(e.evidence, Judged) for e in book.entries())
    (told,) = check.seconds
    assert (told.second_to, told.why, told.attempt.stamp.by) == (first_entry(book), "", "L. Saar")
    # En = |a - b| / sqrt(Ua^2 + Ub^2) (ISO 13528), U = 1.959964 u of a normal distribution
    assert told.en == pytest.approx(0.03 / (1.959964 * 2**0.5 * 0.01), rel=1e-4)


def test_a_worse_second_look_does_not_change_the_verdict(book: Book) -> None:
    photo = first_marks(book)
    second(book, photo, 0.9)
    assert book.round().check("OH1.cover").state == "within"
    assert book.round().check("OH1.cover").seconds[0].en > 1
    assert not any(isinstance(e.evidence, Derived) for e in book.entries())


@pytest.mark.parametrize("by", ["R. Tamm", " r.  tamm ", "R. TAMM"])
def test_the_same_hand_is_no_second(book: Book, by: str) -> None:
    photo = first_marks(book)
    blind = marked(photo, blind=True, second_to=first_entry(book))
    with pytest.raises(BadAct, match="another person's"):
        acts.record_marks(book, blind, at=WHO["at"], by=by)


def test_what_is_not_blind_or_second_to_nothing_is_refused(book: Book) -> None:
    photo = first_marks(book)
    with pytest.raises(BadAct, match="placed blind"):
        second(book, photo, blind=False)
    with pytest.raises(BadAct, match="need the first ones"):
        second(book, photo, second_to="")
    with pytest.raises(BadAct, match="need the first ones"):
        second(book, photo, second_to=book.entries()[0].hash)
    second(book, photo)
    third = next(
        e.hash for e in book.entries() if isinstance(e.evidence, Marked) and e.evidence.blind
    )
    with pytest.raises(BadAct, match="need the first ones"):  # second to a second
        acts.record_marks(book, marked(photo, blind=True, second_to=third), **WHO)


def test_second_marks_belong_to_the_same_photo(book: Book) -> None:
    first_marks(book)
    other = file_photo(book, "OH1", "with scale", b"another photo")
    with pytest.raises(BadAct, match="same photo as the first"):
        second(book, other)


def test_first_marks_that_were_struck_are_not_compared_with(book: Book) -> None:
    photo = first_marks(book)
    second(book, photo)
    acts.strike(book, first_entry(book), "wrong hole", **WHO)
    check = book.round().check("OH1.cover")
    assert (check.seconds[0].en, check.seconds[0].why) == (None, "the first marks were struck")
    assert check.state == "not measured"  # the second ones do not step in
    with pytest.raises(BadAct, match="the first marks were struck"):
        second(book, photo)


def test_marks_that_say_nothing_of_their_doubt_can_not_be_compared(book: Book) -> None:
    photo = first_marks(book)
    acts.record_marks(
        book, marked(photo, 0.31, points=0, blind=True, second_to=first_entry(book)), **OTHER
    )
    (told,) = book.round().check("OH1.cover").seconds
    assert told.en is None
    assert "say nothing of how well the rims were placed" in told.why


def test_a_second_can_be_found_by_its_entry(book: Book) -> None:
    photo = first_marks(book)
    second(book, photo)
    blind = book.entries()[-1]
    assert book.round().attempt(blind.hash).stamp.by == "L. Saar"
