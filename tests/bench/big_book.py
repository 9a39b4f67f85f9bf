"""A book of an invented job with 2,000 checks and 20,000 readings, for the bench ``scale``.

Filed by the program's own acts, many to a transaction: entries, values and verdicts are those
that filing one by one would have kept. Every location has the same ten checks:

    a, b, c, d, e   grids of 3 positions x 2 axes x 3 repeats, some taken as out-of-round or taper
    gap             computed, a - b, with a limit
    wide, deep, tight   one reading each, two of them with limits
    clean           yes or no

Every third location had grid c worked on and read again, some readings were struck and read again.
"""

import random
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import cast

from annotate.quantity import Quantity
from store.book import Act, Book
from store.characteristic import Characteristic, Limit, Spot, Take
from store.evidence import Read
from store.plan import Gauge, HoldPoint, Job, Location, Plan
from store.told.telling import Telling
from store.written import acts

LOCATIONS, PER_COVER = 200, 50
CHECKS, READINGS = LOCATIONS * 10, 20_000
COVER = "cover-1"  # hides the first locations, all of them proven
WHO = {"at": "2026-03-02T09:00:00+01:00", "by": "A. Fitter"}
_STRUCK = 12
_POSITIONS, _AXES, _REPEATS = ("top", "middle", "bottom"), ("along", "across"), 3
_TAKES: dict[str, Take] = {
    "a": "mean", "b": "mean", "c": "mean", "d": "out-of-round", "e": "taper",
}  # fmt: skip


def build(root: Path, locations: int = LOCATIONS) -> Path:
    """Make the book in a new folder and return it; takes some tens of seconds."""
    with Book.create(root, plan(locations), bench="north", version="bench", **WHO) as book:
        batch = _Batch(book)
        dice = random.Random(20260302)  # noqa: S311 - sizes, no secrets
        struck = 0
        for number, location in enumerate(batch.plan.locations):
            with batch.together():
                for check in location.characteristics:
                    _read_all(batch, location.id, check, dice)
                if number % 3 == 0 and number < locations - 2:
                    _work_on(batch, location, dice)
                if number % 16 == 1 and struck < _STRUCK:
                    struck += 1
                    _slip(batch, location, dice)
    return root


def plan(many: int = LOCATIONS) -> Plan:
    """Return the plan of the invented job, with so many locations of ten checks each."""
    locations = tuple(_location(f"L{number:03}") for number in range(1, many + 1))
    covers = tuple(
        HoldPoint(
            id=f"cover-{number}",
            name=f"cover no. {number}",
            hides=tuple(each.id for each in locations[first : first + PER_COVER]),
        )
        for number, first in enumerate(range(0, many, PER_COVER), start=1)
    )
    last = HoldPoint(id="lid", name="the lid", hides=tuple(cover.id for cover in covers))
    return Plan(
        job=Job(number="B-2000", engine="bench mule", customer="nobody", shop="The Bench"),
        locations=locations,
        hold_points=(*covers, last),
        gauges=(_gauge("MIC-A"), _gauge("BORE-B", set_on="MIC-A")),
    )


def _location(name: str) -> Location:
    grids = tuple(_grid(each, take) for each, take in _TAKES.items())
    return Location(
        id=name,
        name=f"location {name}",
        characteristics=(
            *grids,
            Characteristic(
                id="gap",
                kind="computed",
                question="a less b",
                unit="mm",
                formula=f"{name}.a - {name}.b",
                limit=_limit(0.02, 0.18),
            ),
            Characteristic(
                id="wide", kind="length", question="width?", unit="mm", limit=_limit(11.7, 12.3)
            ),
            Characteristic(id="deep", kind="depth", question="depth?", unit="mm"),
            Characteristic(
                id="tight", kind="torque", question="torque?", unit="N.m",
                limit=Limit("builder's own", at_least=Quantity(31.0, "N.m")),
            ),
            Characteristic(id="clean", kind="yes-no", question="clean?", unit="1"),
        ),
    )  # fmt: skip


def _grid(name: str, take: Take) -> Characteristic:
    spread = take in {"out-of-round", "taper"}
    return Characteristic(
        id=name,
        kind="length",
        question=f"size {name}?",
        unit="mm",
        gauge="MIC-A" if name in "bd" else "BORE-B",
        positions=_POSITIONS,
        axes=_AXES,
        repeats=_REPEATS,
        take=take,
        limit=Limit("builder's own", at_most=Quantity(0.06, "mm")) if spread else None,
    )


def _limit(low: float, high: float) -> Limit:
    return Limit("builder's own", at_least=Quantity(low, "mm"), at_most=Quantity(high, "mm"))


def _gauge(name: str, set_on: str = "") -> Gauge:
    return Gauge(
        id=name,
        kind="micrometer",
        resolution=Quantity(0.001, "mm"),
        permissible_error=Quantity(0.003, "mm"),
        set_on=set_on,
    )


class _Batch:
    """A book whose acts share one transaction while ``together`` lasts."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._act: Act | None = None

    @property
    def plan(self) -> Plan:
        return self._book.plan

    @property
    def told(self) -> Telling:
        return self._book.told

    @property
    def as_book(self) -> Book:
        return cast("Book", self)

    @contextmanager
    def together(self) -> Iterator[None]:
        with self._book.act(**WHO) as act:
            self._act = act
            yield
        self._act = None

    @contextmanager
    def act(self, *, at: str, by: str) -> Iterator[Act]:
        if self._act is None:
            raise RuntimeError(f"nothing is filed at {at} by {by} outside together()")
        yield self._act

    def entry(self, cited: str) -> object:
        return self._book.entry(cited)


def _read_all(batch: _Batch, location: str, check: Characteristic, dice: random.Random) -> None:
    if not check.is_worked_out:
        for spot in check.spots:
            acts.record_reading(batch.as_book, reading(location, check, spot, dice), **WHO)


def _work_on(batch: _Batch, location: Location, dice: random.Random) -> None:
    acts.rework(batch.as_book, (f"{location.id}.c",), "dressed", **WHO)
    _read_all(batch, location.id, location.characteristics[2], dice)


def _slip(batch: _Batch, location: Location, dice: random.Random) -> None:
    """Strike the last reading of grid e, and read it again."""
    check = location.characteristics[4]
    wrong = batch.told.reads[f"{location.id}.e"][-1][1]
    acts.strike(batch.as_book, wrong.hash, "read the wrong end", **WHO)
    again = reading(location.id, check, check.spots[-1], dice)
    acts.record_reading(batch.as_book, again, **WHO)


def reading(location: str, check: Characteristic, spot: Spot, dice: random.Random) -> Read:
    """Return a reading of one check, near what its limit allows."""
    key = f"{location}.{check.id}"
    if check.kind == "yes-no":
        return Read(key=key, text="yes", quantity=None, answer=True)
    nominal = {"a": 52.1, "b": 52.0, "tight": 34.0, "wide": 12.0}.get(check.id, 40.0)
    value = round(nominal + dice.uniform(-0.01, 0.01), 3)
    return Read(
        key=key,
        text=f"{value:.3f}",
        quantity=Quantity(value, check.unit),
        exact=f"{value:.3f}",
        half_step=0.0005,
        unit_assumed=True,
        gauge=check.gauge,
        spot=spot,
    )
