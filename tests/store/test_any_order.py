"""Whatever is done at the bench, in whatever order: the book stays whole and tells the same."""

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import msgspec
import pytest
from hypothesis import HealthCheck, settings
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from store.book import Book
from store.characteristic import Spot
from store.errors import StoreError
from store.evidence import KitCounted, MapPlaced, Marked, OwnerSaid, SlipAsked, Zero
from store.standing import check_now, standing
from store.verify import verify
from store.written import acts, bench_acts, plan_acts
from tests.store import small_job
from tests.store.any_change import KEYS, LENGTHS, LOCATIONS, changes
from tests.store.bench_job import begin, plan
from tests.store.small_job import WHO, answer, file_photo, marks, reading

HOLDS = ("caps", "lid", "pan")
GAUGES = ("MIC-2", "CAL-1", "BG-1", "")
SPOTS = (*(Spot(p, a) for p in ("front", "rear") for a in ("X", "Y")), Spot())
REWORKED = (
    ("J1",), ("M1", "M1.bore"), ("G3",), ("G3.bore", "G3.clean"), ("OH1",), ("N1",), ("G3.nip",),
    (),
)  # fmt: skip
PEOPLE = ("R. Tamm", "L. Saar")
WORDS = st.sampled_from(("because", "it was so", "seen", " "))
DAYS = st.sampled_from(("2026-03-01", "2026-03-02T08:00+00:00", "2026-03-04", "soon"))


def near(value: float) -> st.SearchStrategy[float]:
    return st.sampled_from((value, value + 0.05, value - 0.05, value + 3.0))


class Bench(RuleBasedStateMachine):
    """One book and every act on it."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.book: Book | None = None
        self.photos: list[str] = []

    @initialize()
    def start(self) -> None:
        self.book = begin(Path(self.folder.name) / "book", plan())
        # Something to begin with, or few of the acts below would ever be of use.
        for location, role in (("OH1", "overall"), ("G4", "bare bore"), ("J1", "fitted")):
            self.photos.append(file_photo(self.book, location, role, location.encode()))
        self.read_every_spot(59.98)
        self.read("G3.bore", 23.95, "CAL-1", "")
        self.read("G3.plug", 24.0, "CAL-1", "")
        self.fit("plug-3", "bag 1")

    def teardown(self) -> None:
        if self.book is not None:
            self.book.close()
            found = verify(self.book.root, measure=small_job.measure)
            assert [f for f in found if f.severity != "note"] == []
        self.folder.cleanup()

    def do(self, act: Callable[[], Any]) -> None:
        """Try an act: it is kept whole, or refused with a sentence and nothing is kept."""
        book = self.book
        assert book is not None
        before = book.entries()
        try:
            act()
        except (StoreError, AnnotateError) as refused:
            _say(refused)
            kinds = [entry.kind for entry in book.entries()[len(before) :]]
            assert kinds in ([], ["close refused"])
            assert book.entries()[: len(before)] == before
        else:
            assert len(book.entries()) > len(before)

    @invariant()
    def the_round_is_that_of_the_entries(self) -> None:
        if self.book is None:
            return
        told = standing(self.book.entries())
        assert told == self.book.round()
        for check in told.checks:
            assert check_now(self.book.told, check.key) == check

    @rule(key=st.sampled_from(LENGTHS), value=near(24.0), gauge=st.sampled_from(GAUGES),
          read_at=st.sampled_from(("", "2026-03-01", "before lunch")))  # fmt: skip
    def read(self, key: str, value: float, gauge: str, read_at: str) -> None:
        record = msgspec.structs.replace(reading(key, value), gauge=gauge, read_at=read_at)
        self.do(lambda: acts.record_reading(self.book, record, **WHO))

    @rule(spot=st.sampled_from(SPOTS), value=near(59.98))
    def read_spot(self, spot: Spot, value: float) -> None:
        record = msgspec.structs.replace(reading("J1.size", value), gauge="MIC-2", spot=spot)
        self.do(lambda: acts.record_reading(self.book, record, **WHO))

    @rule(value=near(59.98))
    def read_every_spot(self, value: float) -> None:
        for spot in SPOTS[:4]:
            self.read_spot(spot, value)

    @rule(shown=st.sampled_from((0.04, 0.3)), on=st.sampled_from(("J1.size", "G3.bore")),
          way=st.sampled_from(("bigger", "smaller", "same")))  # fmt: skip
    def read_difference(self, shown: float, on: str, way: str) -> None:
        told = self.book.told
        entry = told.counting(on, told.now)
        zero = Zero(entry.evidence.quantity, entry.hash, on) if entry else Zero(Quantity(60, "mm"))
        record = msgspec.structs.replace(
            reading("M1.bore", shown), gauge="BG-1", zero=zero, direction=way
        )
        self.do(lambda: acts.record_reading(self.book, record, **WHO))

    @rule(said=st.booleans(), key=st.sampled_from(("G3.clean", "G3.bore", "G3.sealant")))
    def answer(self, said: bool, key: str) -> None:
        self.do(lambda: acts.record_reading(self.book, answer(key, said), **WHO))

    @rule(torque=st.sampled_from((80.0, 95.0)))
    def tighten(self, torque: float) -> None:
        record = reading("M1.bolts", torque, unit="N.m")
        self.do(lambda: acts.record_reading(self.book, record, **WHO))

    @rule(location=st.sampled_from((*LOCATIONS, *HOLDS)), number=st.integers(0, 2),
          role=st.sampled_from(("fitted", "overall", "bare bore", "what closes it")))  # fmt: skip
    def photo(self, location: str, number: int, role: Any) -> None:
        there = {each.id for each in (*self.book.plan.locations, *self.book.plan.hold_points)}
        if location in there:
            content = f"photo {number}".encode()
            self.photos.append(file_photo(self.book, location, role, content))

    @precondition(lambda self: self.photos)
    @rule(data=st.data(), x_px=st.sampled_from((90.0, 600.0)), blind=st.booleans(),
          by=st.sampled_from(PEOPLE))  # fmt: skip
    def mark(self, data: st.DataObject, x_px: float, blind: bool, by: str) -> None:
        first = [e.hash for e in self.book.entries() if isinstance(e.evidence, Marked)]
        second = data.draw(st.sampled_from(first)) if blind and first else ""
        photo = data.draw(st.just(self.photos[0]) | st.sampled_from(self.photos))
        marked = msgspec.structs.replace(
            marks(photo, x_px=x_px), key="OH1.cover", blind=blind, second_to=second
        )
        self.do(lambda: acts.record_marks(self.book, marked, at=WHO["at"], by=by))

    @rule(data=st.data(), reason=WORDS)
    def strike(self, data: st.DataObject, reason: str) -> None:
        told = self.book.told
        free = [e for e in self.book.entries() if e.hash not in told.strikes]
        can_be = [e for e in free if acts.can_be_struck(e)]
        cited = data.draw(st.sampled_from(can_be) | st.sampled_from(self.book.entries())).hash
        self.do(lambda: acts.strike(self.book, cited, reason, **WHO))

    @rule(scope=st.sampled_from(REWORKED), what=WORDS)
    def rework(self, scope: tuple[str, ...], what: str) -> None:
        self.do(lambda: acts.rework(self.book, scope, what, **WHO))

    @rule(part=st.sampled_from(("shell-1", "plug-3", "plug-4", "pan-1")),
          identity=st.sampled_from(("bag 1", "bag 2", " ")))  # fmt: skip
    def fit(self, part: str, identity: str) -> None:
        photos = tuple(self.photos[:1])
        self.do(lambda: bench_acts.fit(self.book, part, identity, photos=photos, **WHO))

    @rule(location=st.sampled_from(LOCATIONS))
    def take_out(self, location: str) -> None:
        self.do(lambda: bench_acts.take_out(self.book, location, **WHO))

    @rule(location=st.sampled_from(LOCATIONS), clean=st.booleans())
    def log_debris(self, location: str, clean: bool) -> None:
        self.do(lambda: bench_acts.log_debris(self.book, location, how="blown", clean=clean, **WHO))

    @rule(line=st.sampled_from(("plugs", "bolts")), count=st.integers(-1, 3))
    def count_kit(self, line: str, count: int) -> None:
        self.do(lambda: bench_acts.count_kit(self.book, KitCounted(line, count), **WHO))

    @rule(gauge=st.sampled_from(GAUGES), since=DAYS, reason=WORDS)
    def suspect(self, gauge: str, since: str, reason: str) -> None:
        self.do(
            lambda: bench_acts.suspect_gauge(self.book, gauge, since=since, reason=reason, **WHO)
        )

    @rule(gauge=st.sampled_from(GAUGES))
    def clear(self, gauge: str) -> None:
        self.do(lambda: bench_acts.clear_gauge(self.book, gauge, reason="good", **WHO))

    @rule(words=WORDS)
    def owner(self, words: str) -> None:
        self.do(lambda: bench_acts.owner_said(self.book, OwnerSaid("told", words, "phone"), **WHO))

    @precondition(lambda self: self.photos)
    @rule(location=st.sampled_from(LOCATIONS), data=st.data())
    def place(self, location: str, data: st.DataObject) -> None:
        placed = MapPlaced(location, data.draw(st.sampled_from(self.photos)), 9.0, 9.0)
        self.do(lambda: bench_acts.place_on_map(self.book, placed, **WHO))

    @rule(key=st.sampled_from(KEYS), spot=st.sampled_from(SPOTS))
    def withdraw(self, key: str, spot: Spot) -> None:
        asked = SlipAsked(key, "24", ("ten times",), "withdrawn", spot)
        self.do(lambda: acts.withdraw(self.book, asked, **WHO))

    @rule(hold=st.sampled_from(HOLDS), key=st.sampled_from((*KEYS, *LOCATIONS, *HOLDS)))
    def waive(self, hold: str, key: str) -> None:
        self.do(
            lambda: bench_acts.waive(
                self.book, hold, key, reason="r", decided_by="d", owner_agreed="o", **WHO
            )
        )

    @rule(hold=st.sampled_from(HOLDS))
    def waive_everything_and_close(self, hold: str) -> None:
        if hold not in {each.id for each in self.book.plan.hold_points}:
            return
        for key, _ in self.book.round().hold(hold).unproven:
            self.waive(hold, key)
        self.close(hold)

    @rule(hold=st.sampled_from(HOLDS))
    def close(self, hold: str) -> None:
        self.do(lambda: bench_acts.close(self.book, hold, **WHO))

    @precondition(lambda self: any(hold.closed for hold in self.book.round().holds))
    @rule(hold=st.sampled_from(HOLDS))
    def reopen(self, hold: str) -> None:
        self.do(lambda: bench_acts.reopen(self.book, hold, "a rattle", **WHO))

    @rule(data=st.data(), reason=WORDS)
    def change(self, data: st.DataObject, reason: str) -> None:
        what = data.draw(changes(tuple(self.photos)))
        self.do(lambda: plan_acts.change_plan(self.book, what, reason, **WHO))

    @rule()
    def open_again(self) -> None:
        root = self.book.root
        told = self.book.round()
        self.book.close()
        self.book = Book.open(root)
        assert self.book.round() == told


@pytest.mark.parametrize("steps", [40])
def test_a_book_stays_whole_whatever_is_done_to_it(steps: int) -> None:
    run_state_machine_as_test(
        Bench,
        settings=settings(
            max_examples=8, stateful_step_count=steps, deadline=None,
            suppress_health_check=list(HealthCheck), print_blob=True,
        ),
    )  # fmt: skip


def _say(refused: Exception) -> None:
    """Every refusal is a sentence."""
    assert str(refused)
