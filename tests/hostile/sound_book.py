"""A small book that is sound to the whole program: typed readings, marks on a sample picture."""

from pathlib import Path

from msgspec.structs import replace

from annotate.givens import Givens
from annotate.marks import Rim
from capture.intake.photo import read_photo
from capture.journey import Journey
from capture.layers import bare_layer
from capture.plans.reader import parse_plan
from store.book import Book
from tests.capture.command import SAMPLES
from tests.capture.samples import HOLES
from tests.capture.small_plan import PLAN

AT = "2026-03-05T16:40:00+01:00"
_PICTURE = "bearing-1.jpg"
_LOOSE = 0.2  # of the interval: few trials, for a book that is checked hundreds of times


def sound_book(root: Path, *, is_marked: bool = False) -> Journey:
    """Return the journey of a new book: readings, a photo, and if wanted marks by hand on it.

    Marks are measured again by whoever checks the book, which takes seconds.
    """
    plan = parse_plan(PLAN.encode(), "plan.toml")
    book = Book.create(root, plan, at=AT, bench="north", by="R. Tamm", version="0.1.0")
    journey = Journey(book, clock=lambda: AT, user="R. Tamm", version="0.1.0")
    for key, text in (("P1.bore", "31.200 mm"), ("P1.plug", "31.255 mm"), ("P1.clean", "yes")):
        journey.reading(key, text)
    journey.reading("P1.depth", "2.9 mm BELOW")
    photo = read_photo(SAMPLES / _PICTURE)
    filed = journey.add_photo(photo, location="C1", role="with scale", keys=("C1.covered",))
    if not is_marked:
        return journey
    near, far = (
        Rim(which, tuple(map(tuple, HOLES[_PICTURE][f"{which}_points"])), sigma_px=0.7)
        for which in ("near", "far")
    )
    layer = replace(bare_layer(photo), marks=(near, far))
    journey.coverage("C1.covered", filed.evidence.photo, layer, Givens(), tolerance=_LOOSE)
    return journey
