"""Second routes to what a photo shows: a pin that was tried, a round hole of the same area."""

from math import pi, sqrt
from pathlib import Path

import msgspec
import pytest

from annotate.quantity import Quantity
from annotate.result import Known
from store.book import Book
from store.characteristic import Characteristic
from store.plan import Plan
from store.written import acts
from tests.store import small_job
from tests.store.small_job import WHO, file_photo, marks, new_book, reading


def job() -> Plan:
    """Return the small job with the figure of a flow bench beside that of the photo."""
    plan = small_job.plan()
    (plug, hole) = plan.locations
    more = (
        Characteristic(id="flow", kind="length", question="as a round hole?", unit="mm"),
        Characteristic(
            id="routes", kind="agreement", question="do they agree?", unit="1",
            of=("OH2.cover.equivalent", "OH2.flow"),
        ),
        Characteristic(
            id="wider", kind="computed", question="wider than the pin by?", unit="mm",
            formula="OH2.cover.equivalent - OH2.cover.pin",
        ),
    )  # fmt: skip
    grown = msgspec.structs.replace(hole, characteristics=(*hole.characteristics, *more))
    return msgspec.structs.replace(plan, locations=(plug, grown))


def test_the_diameter_of_a_round_hole_of_the_same_area_is_a_route(tmp_path: Path) -> None:
    # By hand: 12 mm^2 open is a round hole of sqrt(48 / pi) = 3.909 mm; u 0.05 and 0.1 mm.
    area = 12.0
    round_mm = sqrt(4 * area / pi)
    with new_book(tmp_path / "book", job()) as book:
        _accept(book, round_mm)
        acts.record_reading(book, reading("OH2.flow", 4.1, half_step=0.1 * sqrt(3)), **WHO)
        there = book.round()
        apart = (4.1 - round_mm) / sqrt(0.05**2 + 0.1**2)
        routes = there.check("OH2.routes").value
        assert routes is not None
        # En by ISO 13528; a rectangle and a normal together have a factor somewhat under 1.96.
        assert apart / 1.96 < routes.value < apart / 1.75
        wider = there.check("OH2.wider").value
        assert wider is not None
        assert wider.value == pytest.approx(round_mm - 3.1)


def _accept(book: Book, round_mm: float) -> None:
    record = marks(file_photo(book, "OH2"))
    result = msgspec.structs.replace(
        record.result,
        equivalent_diameter=Known(Quantity(round_mm, "mm", u=0.05)),
        largest_pin=Known(Quantity(3.1, "mm", u=0.05)),
    )
    acts.record_marks(book, msgspec.structs.replace(record, result=result), **WHO)
