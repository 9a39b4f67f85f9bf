"""The map of the block: a location's place on an overall photo, and who lies next to it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from store.errors import BadAct, BadPlan, PhotoMissing
from store.evidence import MapPlaced
from store.written import acts, bench_acts
from tests.store.bench_job import begin, sound
from tests.store.small_job import WHO, file_photo


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book
        assert sound(the_book)


def place(book: Book, location: str, photo: str, x_px: float, y_px: float = 100.0) -> None:
    bench_acts.place_on_map(book, MapPlaced(location, photo, x_px, y_px), **WHO)


def at(book: Book, location: str) -> tuple[float, float] | None:
    there = book.round().place(location).on_map
    return (there.record.x_px, there.record.y_px) if there else None  # type: ignore[union-attr] # a place


def test_the_last_place_counts_and_a_struck_one_does_not(book: Book) -> None:
    photo = file_photo(book, "J1", "overall")
    place(book, "G3", photo, 10.0)
    place(book, "G3", photo, 20.0)
    assert at(book, "G3") == (20.0, 100.0)
    acts.strike(book, book.entries()[-1].hash, "that was G4", **WHO)
    assert at(book, "G3") == (10.0, 100.0)


def test_a_place_falls_with_the_photo_it_is_on(book: Book) -> None:
    photo = file_photo(book, "J1", "overall")
    place(book, "G3", photo, 10.0)
    place(book, "G4", photo, 20.0)
    filing = next(e for e in book.entries() if e.kind == "photo taken")
    acts.strike(book, filing.hash, "another engine", **WHO)
    assert at(book, "G3") is None
    assert book.round().place("G3").neighbours == ()
    file_photo(book, "OH1", "overall")
    assert at(book, "G3") == (10.0, 100.0)


@pytest.mark.parametrize(
    "spot", [(-0.6, 5.0), (639.6, 5.0), (5.0, -0.6), (5.0, 479.6), (float("nan"), 5.0)]
)
def test_a_place_outside_the_picture_is_refused(book: Book, spot: tuple[float, float]) -> None:
    photo = file_photo(book, "J1", "overall")
    with pytest.raises(BadAct, match="lies outside the picture of 640 x 480 px"):
        place(book, "G3", photo, *spot)


def test_the_corners_are_half_a_pixel_outside_the_first_and_last_centre(book: Book) -> None:
    photo = file_photo(book, "J1", "overall")
    place(book, "G3", photo, -0.5, -0.5)
    place(book, "G4", photo, 639.5, 479.5)
    assert at(book, "G4") == (639.5, 479.5)


def test_it_needs_an_overall_photo_and_a_location_of_the_plan(book: Book) -> None:
    photo = file_photo(book, "G3", "close-up")
    for which in (photo, "ab" * 32):
        with pytest.raises(PhotoMissing, match="not filed as an overall photo"):
            place(book, "G3", which, 5.0)
    with pytest.raises(BadPlan, match="no location 'G9'"):
        place(book, "G9", photo, 5.0)


def test_neighbours_are_those_close_by_on_the_same_photo_the_nearest_first(book: Book) -> None:
    photo = file_photo(book, "J1", "overall")
    other = file_photo(book, "J1", "overall", b"the other face")
    for location, x_px in (("J1", 100.0), ("M1", 140.0), ("G3", 170.0), ("G4", 400.0)):
        place(book, location, photo, x_px)
    place(book, "OH1", other, 101.0)
    # from J1: M1 at 40, G3 at 70 (within twice 40), G4 at 300
    assert book.round().place("J1").neighbours == ("M1", "G3")
    assert book.round().place("OH1").neighbours == ()
    assert book.round().place("G4").neighbours == ("G3", "M1", "J1")


def test_what_lies_at_the_very_same_spot_is_a_neighbour(book: Book) -> None:
    photo = file_photo(book, "J1", "overall")
    for location in ("G3", "G4"):
        place(book, location, photo, 50.0)
    place(book, "J1", photo, 60.0)
    assert book.round().place("G3").neighbours == ("G4",)
    # named so on the plug map, beside the group they share
    (plug,) = (p for p in book.round().plugs if p.location.id == "G3")
    assert plug.alike == ("G4",)
