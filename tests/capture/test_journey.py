"""The journey's acts, with the clock, the user and the version as arguments."""

from fractions import Fraction
from itertools import count
from math import hypot, sqrt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.givens import Givens
from annotate.quantity import Quantity
from capture import layers
from capture.errors import BadPhoto, BadReading, WrongUse
from capture.intake.photo import Photo, read_photo
from capture.journey import Journey
from capture.plans.reader import parse_plan
from capture.readings import exact_text, read_of, reread
from capture.verifying import verify_book
from store.errors import BadPlan, BookExists, NotProven
from store.evidence import PhotoTaken, Read
from store.plan import Plan
from tests.capture.command import FILES, SAMPLES
from tests.capture.samples import HOLES
from tests.capture.small_plan import PLAN


@pytest.fixture
def plan() -> Plan:
    return parse_plan(PLAN.encode(), "plan.toml")


def begun(root: Path, plan: Plan) -> Journey:
    minutes = count()
    return Journey.start(
        plan,
        root,
        bench="bench-1",
        clock=lambda: f"2026-11-24T10:{next(minutes):02d}:00+00:00",
        user="Ann",
        version="test",
    )


@pytest.fixture
def journey(tmp_path: Path, plan: Plan) -> Journey:
    return begun(tmp_path / "book", plan)


def test_entries_carry_the_clock_the_user_and_the_bench_they_were_given(journey: Journey) -> None:
    journey.reading("P1.clean", "yes")
    with journey:
        entries = journey.book.entries()
    assert [entry.at[14:16] for entry in entries] == ["00", "01"]
    assert {(entry.by, entry.bench) for entry in entries} == {("Ann", "bench-1")}


def test_a_journey_is_taken_up_again(tmp_path: Path, plan: Plan) -> None:
    with begun(tmp_path / "book", plan) as first:
        first.reading("P1.clean", "yes")
    with Journey.open(
        tmp_path / "book", clock=lambda: "2026-11-25T10:00:00+00:00", user="Bo", version="test"
    ) as again:
        assert again.round().check("P1.clean").state == "within"
        assert again.plan == plan
    with pytest.raises(BookExists):
        begun(tmp_path / "book", plan)


def test_a_reading_keeps_its_text_and_its_gauges_doubt(journey: Journey) -> None:
    check = journey.reading("P1.bore", "31.412", read_at="on paper at 10:40")
    assert check.current is not None
    read = check.current.record
    assert isinstance(read, Read)
    assert (read.text, read.exact, read.unit_assumed) == ("31.412", "31.412", True)
    assert (read.gauge, read.read_at) == ("mic-1", "on paper at 10:40")
    # JCGM 100:2008 4.3.7, 5.1.2: rectangles of half a step and of the permissible error, as squares
    assert read.quantity is not None
    assert read.quantity.u == pytest.approx(hypot(0.0005, 0.004) / sqrt(3))


def test_a_typed_plus_minus_says_it_all(plan: Plan) -> None:
    read = read_of(plan, "P1.bore", "31.412 mm +- 0.01 mm")
    assert read.quantity is not None
    assert read.quantity.u == pytest.approx(0.01 / sqrt(3))


def test_a_band_is_worth_its_half_width(plan: Plan) -> None:
    read = read_of(plan, "P1.bore", "31.40 to 31.44 mm")
    assert read.quantity == Quantity(31.42, "mm", u=0.02 / sqrt(3))


def test_a_depth_keeps_its_face_and_its_fraction(plan: Plan) -> None:
    read = read_of(plan, "P1.depth", "7/64 in BELOW")
    assert (read.exact, read.face) == ("0.109375", "BELOW")
    proud = read_of(plan, "P1.depth", "0.2 mm PROUD")
    assert proud.quantity is not None
    assert proud.quantity.value == pytest.approx(-0.2)


def test_a_kept_text_read_again_is_worth_the_same(plan: Plan) -> None:
    for key, text in (("P1.bore", "31.412"), ("P1.depth", "7/64 in BELOW"), ("P1.clean", "no")):
        read = read_of(plan, key, text)
        assert reread(plan, read) == read
    assert reread(plan, Read(key="P1.bore", text="about 31", quantity=None)) is None


@given(st.fractions(max_denominator=1000), st.integers(0, 12))
def test_exact_text_reads_back_to_the_same_value(value: Fraction, places: int) -> None:
    for exact in (value, Fraction(value.numerator, 10**places)):
        assert Fraction(exact_text(exact)) == exact


def test_what_is_not_typed_is_refused_with_what_to_do(journey: Journey) -> None:
    with pytest.raises(WrongUse, match="is measured on a photo"):
        journey.reading("C1.covered", "20 %")
    with pytest.raises(WrongUse, match=r"worked out as P1\.plug - P1\.bore"):
        journey.reading("P1.press", "0.1 mm")
    with pytest.raises(BadReading):
        journey.reading("P1.bore", "31,412 mm")
    with pytest.raises(BadPlan):
        journey.reading("P9.bore", "31 mm")
    assert len(journey.book.entries()) == 1


def test_a_wrong_part_is_hinted_at_before_it_is_driven(journey: Journey) -> None:
    journey.reading("P1.bore", "31.412 mm")
    assert journey.fit_hints("P1.bore") == ()
    journey.reading("P1.plug", "32.213 mm")
    (hint,) = journey.fit_hints("P1.plug")
    assert hint.startswith("the part is 32.21 mm, the bore 31.41 mm")
    assert [check.key for check in journey.following("P1.plug")] == ["P1.press"]
    journey.reading("P1.plug", "31.480 mm")
    assert journey.fit_hints("P1.plug") == ()


def test_a_photo_is_kept_byte_for_byte(journey: Journey) -> None:
    path = FILES / "exif-orientation" / "orientation_rectangle.jpg"
    entry = journey.add_photo(read_photo(path), location="P1", role="fitted")
    taken = entry.evidence
    assert isinstance(taken, PhotoTaken)
    assert (taken.width_px, taken.height_px, taken.suffix) == (1, 2, "jpg")
    assert journey.book.photo_path(taken.photo).read_bytes() == path.read_bytes()


def test_a_hold_point_needs_proof_or_a_waiver(journey: Journey) -> None:
    with pytest.raises(NotProven) as refused:
        journey.close("cover")
    assert len(refused.value.unproven) == 5
    for key, text in (("P1.bore", "31.412 mm"), ("P1.plug", "31.480 mm"), ("P1.clean", "yes")):
        journey.reading(key, text)
    journey.waive("cover", "P1.depth", reason="no gauge", decided_by="Ann", owner_agreed="letter")
    journey.close("cover")
    assert journey.round().hold("cover").state == "closed"
    assert journey.round().check("P1.depth").state == "not measured"


def test_coverage_is_measured_kept_and_found_again(journey: Journey, tmp_path: Path) -> None:
    hole = HOLES["bearing-2-turned.jpg"]
    photo = read_photo(SAMPLES / "bearing-2-turned.jpg")
    entry = journey.add_photo(photo, location="C1", role="close-up")
    assert isinstance(entry.evidence, PhotoTaken)
    placed = layers.with_rims(
        layers.bare_layer(photo),
        photo,
        near_points=[(x, y) for x, y in hole["near_points"]],
        far_points=[(x, y) for x, y in hole["far_points"]],
    )
    assert journey.givens("C1.covered") == Givens(
        near_diameter=Quantity(7.05, "mm", 0.05 / sqrt(3))
    )
    check = journey.coverage(
        "C1.covered", entry.evidence.photo, placed.layer, journey.givens("C1.covered")
    )
    assert check.state == "within"
    with pytest.raises(WrongUse, match="not a coverage"):
        journey.coverage("P1.bore", entry.evidence.photo, placed.layer, Givens())
    journey.book.close()
    told: list[tuple[int, int]] = []
    root = tmp_path / "book"
    assert verify_book(root, version="test", progress=lambda *at: told.append(at)) == []
    assert told


def test_a_struck_entry_no_longer_counts(journey: Journey) -> None:
    check = journey.reading("P1.depth", "9.0 mm BELOW")
    assert check.current is not None
    journey.strike(check.current.stamp.entry, "misread")
    assert journey.round().check("P1.depth").state == "not measured"


def test_a_layer_takes_the_typed_focal_length_before_the_cameras() -> None:
    photo = read_photo(SAMPLES / "bearing-1.jpg")
    assert layers.bare_layer(photo).focal_35mm == photo.focal_35mm == 112.0
    assert layers.bare_layer(photo, focal_35mm=50.0).focal_35mm == 50.0


def test_nothing_is_placed_on_a_photo_that_cannot_be_shown() -> None:
    cut = FILES / "hostile" / "truncated_jpeg.jpg"
    photo: Photo = read_photo(cut, keep_anyway=True)
    with pytest.raises(BadPhoto, match="nothing is measured on it"):
        layers.bare_layer(photo)


FIVE = [(1.0, 1.0), (9.0, 1.0), (9.0, 9.0), (1.0, 9.0), (5.0, 0.0)]


def test_rims_need_a_place_to_look_and_points_inside_the_picture() -> None:
    photo = read_photo(SAMPLES / "bearing-1.jpg")
    bare = layers.bare_layer(photo)
    with pytest.raises(WrongUse, match="give a click"):
        layers.with_rims(bare, photo, near_points=FIVE)
    with pytest.raises(WrongUse, match="outside the upright picture"):
        layers.with_rims(bare, photo, near_points=[*FIVE, (1199.6, 1)], far_points=FIVE)
    # The picture reaches half a pixel beyond its last pixel's centre.
    edge = layers.with_rims(bare, photo, near_points=[*FIVE, (1199.4, 1)], far_points=[])
    assert edge.layer.rim("far") is None


def test_a_groove_is_not_measured_as_if_it_were_a_round_hole(tmp_path: Path) -> None:
    grooved = PLAN.replace('kind = "coverage"', 'kind = "coverage"\n  shape = "groove"', 1)
    with begun(tmp_path / "book", parse_plan(grooved.encode(), "plan.toml")) as journey:
        photo = read_photo(SAMPLES / "bearing-2-turned.jpg")
        entry = journey.add_photo(photo, location="C1", role="close-up")
        assert isinstance(entry.evidence, PhotoTaken)
        with pytest.raises(WrongUse, match=r"C1.covered is a groove.*with a wire or a pin"):
            journey.coverage("C1.covered", entry.evidence.photo, layers.bare_layer(photo), Givens())
        assert len(journey.book.entries()) == 2
