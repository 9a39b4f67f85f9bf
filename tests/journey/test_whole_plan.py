"""All plans of the library as one job: every check can be had, and hold points keep their order."""

from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from annotate.givens import Givens
from capture.intake.photo import Photo, read_photo
from capture.journey import Journey
from capture.layers import bare_layer, with_rims
from capture.plans.combination import combine
from capture.plans.fragment import library, read_library
from capture.verifying import verify_book
from store.change import LimitSet
from store.characteristic import Characteristic, Kind
from store.errors import BadAct, NotProven
from store.evidence import PhotoTaken
from store.plan import Job, Plan
from tests.capture.command import SAMPLES
from tests.capture.samples import HOLES

# One of each list: the whole job, each thing once.
ONE_OF_EACH = {
    "gallery": ("main",), "front_plug": ("1",), "rear_plug": ("3",), "core": ("1",),
    "threaded": ("1",), "cam": ("1",), "main": ("1",), "cyl": ("1",), "oil_point": ("main-1",),
}  # fmt: skip
JOB = Job(
    number="A-9", engine="Tarnwick 41, four in line", customer="Ada Quill", shop="Back Lane Bench"
)
# What a builder may well type for each kind, and for checks whose sizes belong together.
TYPED: dict[Kind, str] = {
    "length": "50.00 mm", "depth": "6.0 mm BELOW", "angle": "90 deg", "torque": "40 N.m",
    "pressure": "300 kPa", "time": "20 min", "count": "12", "pin": "5.5 mm passed, 5.6 mm stopped",
    "yes-no": "yes", "note": "as the manual says",
}  # fmt: skip
OF_ITS_OWN = {
    "DH.deck-height": "216.40 mm", "DH.stroke": "88.90 mm", "DH.rod-length": "145.00 mm",
    "DH.compression-height": "26.60 mm", "D1.deck-clearance": "0.35 mm BELOW",
    "GB1.passage": "80.0 mm BELOW", "G1.margin-seen": "24.0 mm", "G1.shoulder": "4.0 mm BELOW",
    "G1.from-shoulder": "2.0 mm", "GB1.chamfer": "1.5 mm BELOW", "RC.tunnel": "480.0 mm",
    "RC.from-front": "424.0 mm", "CE.forward": "0.30 mm", "CE.back": "0.10 mm",
    "T1.front-forward": "0.30 mm", "T1.front-back": "0.10 mm", "T1.rear-forward": "0.30 mm",
    "T1.rear-back": "0.10 mm", "MB1.bore": "50.06 mm", "MB1.strip": "0.05 to 0.08 mm",
    "L1.at-end": "299 kPa",
}  # fmt: skip
# The usual order of closing (common practice, no source): what each must wait for.
BEFORE = {
    "old-plugs": (), "camshaft": (), "gallery-plugs": (), "core-plugs": (), "crank": (),
    "pistons": ("crank",), "head": ("pistons", "crank"),
    "front-cover": ("old-plugs", "gallery-plugs", "camshaft"),
    "backplate": ("crank", "old-plugs", "gallery-plugs"),
    "sump": ("pistons", "front-cover", "backplate", "crank", "camshaft", "gallery-plugs"),
    "rocker-cover": ("head", "pistons", "crank"), "side-covers": ("old-plugs", "core-plugs"),
}  # fmt: skip


@pytest.fixture(scope="module")
def plan() -> Plan:
    return combine(JOB, [read_library(name) for name, _ in library()], each=ONE_OF_EACH)


@pytest.fixture
def journey(plan: Plan, tmp_path: Path) -> Iterator[Journey]:
    minutes = count()
    with Journey.start(
        plan, tmp_path / "book", bench="bench-1", user="Ann", version="1",
        clock=lambda: f"2026-11-24T{10 + next(minutes) // 60 % 12:02d}:00:00+00:00",
    ) as begun:  # fmt: skip
        yield begun


@pytest.fixture(scope="module")
def picture() -> Photo:
    return read_photo(SAMPLES / "bearing-1.jpg")


def answer(key: str, check: Characteristic) -> str:
    return OF_ITS_OWN.get(key, TYPED[check.kind])


def waits(journey: Journey, key: str) -> set[str]:
    """Return what a check is worked out from and has no value of its own yet."""
    told = journey.book.told
    return {
        wire.key
        for wire in told.wiring_at(told.now).inputs[key]
        if journey.round().check(wire.key).value is None
    }


def type_all(journey: Journey) -> None:
    """Type an answer to everything that is typed, at each spot of every grid."""
    for key, _, check in journey.plan.walk():
        if check.is_worked_out or check.kind == "coverage":
            continue
        for _ in check.spots:
            journey.reading(key, answer(key, check), stands="read twice")


def see_all(journey: Journey, picture: Photo) -> None:
    """Measure every coverage on a picture."""
    hole = HOLES["bearing-1.jpg"]
    for key, location, check in journey.plan.walk():
        if check.kind != "coverage":
            continue
        filed = journey.add_photo(picture, location=location.id, role="close-up").evidence
        assert isinstance(filed, PhotoTaken)
        placed = with_rims(
            bare_layer(picture), picture, near_points=hole["near_points"],
            far_points=hole["far_points"],
        )  # fmt: skip
        near = journey.zero_on("7.04 mm").size
        journey.coverage(key, filed.photo, placed.layer, Givens(near_diameter=near), tolerance=0.1)


def photograph_all(journey: Journey, picture: Photo) -> None:
    """File a photo of every role that is asked for, wherever it is asked for."""
    wanted = {
        (location, role)
        for hold in journey.plan.hold_points
        for location in journey.plan.hidden_by(hold.id)
        for role in hold.roles
    }
    for location, role in sorted(wanted):
        journey.add_photo(picture, location=location, role=role)


def give_no_limits(journey: Journey) -> None:
    """Say of every limit that is asked for that the maker gives none."""
    for key, _, check in journey.plan.walk():
        if check.asks:
            journey.change_plan(LimitSet(key, None), "the maker gives no figure")


def test_every_check_of_the_library_can_be_given_a_value(
    journey: Journey, picture: Photo, tmp_path: Path
) -> None:
    worked_out = [key for key, _, check in journey.plan.walk() if check.is_worked_out]
    assert len(worked_out) > 30
    assert [key for key in worked_out if journey.round().check(key).current] == []
    assert [key for key in worked_out if not waits(journey, key)] == []
    type_all(journey)
    # What still has no value waits for the picture, and says so.
    unseen = {c.key for c in journey.round().checks if c.current is None}
    assert unseen == {"C1.oil-hole", "C1.routes-agree"}
    assert waits(journey, "C1.routes-agree") == {"C1.oil-hole"}
    see_all(journey, picture)
    known = journey.round()
    assert [check.key for check in known.checks if check.current is None] == []
    numbers = [c for c in known.checks if c.characteristic.is_worked_out]
    assert [check.key for check in numbers if check.value is None] == []
    assert verify_notes(tmp_path) == []


def test_the_hold_points_refuse_in_order_and_all_can_be_closed(
    journey: Journey, picture: Photo, tmp_path: Path
) -> None:
    for hold in journey.plan.hold_points:
        with pytest.raises(NotProven):
            journey.close(hold.id)
        refused = {key for key, _ in journey.round().hold(hold.id).refusals[-1].unproven}
        hidden = set(journey.plan.hidden_by(hold.id))
        assert refused
        assert {key.partition(".")[0] for key in refused} <= hidden | set(BEFORE)
        assert set(BEFORE.get(hold.id, ())) <= refused
    type_all(journey)
    see_all(journey, picture)
    photograph_all(journey, picture)
    give_no_limits(journey)
    for part in journey.plan.parts:
        journey.fit(part.id, "new, bag 7")
    still = {key for key, _ in journey.round().hold("gallery-plugs").unproven}
    assert still == {"Q-main"}  # to be logged clean
    journey.log_debris("Q-main", how="brushed and blown", clean=False, found="two chips")
    assert {key for key, _ in journey.round().hold("gallery-plugs").unproven} == {"Q-main"}
    journey.log_debris("Q-main", how="brushed again, looked through", clean=True)
    for hold in journey.plan.hold_points:
        journey.close(hold.id)
        if hold.seal:
            assert journey.round().hold(hold.id).unsealed
            journey.add_photo(picture, location=hold.id, role="what closes it")
        assert not journey.round().hold(hold.id).unsealed
    assert {hold.state for hold in journey.round().holds} == {"closed"}
    with pytest.raises(BadAct, match="lies behind crank, which is closed"):
        journey.reading("MB1.journal", "50.00 mm")
    assert verify_notes(tmp_path) == []


def verify_notes(folder: Path) -> list[str]:
    """Return what a look at the whole book finds, but for notes."""
    found = verify_book(folder / "book", version="1")
    return [f"{each.severity}: {each.code}" for each in found if each.severity != "note"]


def test_a_hold_point_waits_for_those_that_it_hides(journey: Journey) -> None:
    for hold, before in BEFORE.items():
        assert set(before) <= set(journey.plan.closed_before(hold)), hold
    order = [hold.id for hold in journey.plan.hold_points]
    for hold in order:
        assert all(order.index(b) < order.index(hold) for b in journey.plan.closed_before(hold))
