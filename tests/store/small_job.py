"""A small invented job for the tests of the store: one plug, one oil hole, one cover."""

import io
from math import sqrt
from pathlib import Path
from typing import Any

from annotate.beside import Beside
from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer, Rim
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import Coverage, Known, Parallax, Unknown
from store.book import Book, Kept
from store.characteristic import Characteristic, Limit
from store.evidence import Marked, PhotoTaken, Read
from store.plan import Gauge, HoldPoint, Job, Location, Plan, Role
from store.written import acts

MM = "mm"
WHO = {"at": "2026-03-02T09:00:00+01:00", "by": "R. Tamm"}
VERSION = "0.1.0"
PHOTO = b"\xff\xd8\xff\xe0 not a picture, but bytes to keep \xff\xd9"


def plan() -> Plan:
    return Plan(
        job=Job(number="K-118", engine="inline four", customer="Ostrow", shop="Tamm & Daughter"),
        locations=(
            Location(
                id="P3",
                name="third gallery plug",
                characteristics=(
                    Characteristic(id="bore", kind="length", question="bore?", unit=MM),
                    Characteristic(
                        id="plug", kind="length", question="plug?", unit=MM, gauge="MIC-2"
                    ),
                    Characteristic(
                        id="nip",
                        kind="computed",
                        question="plug minus bore",
                        unit=MM,
                        limit=Limit(
                            source="builder's own",
                            at_least=Quantity(0.04, MM),
                            at_most=Quantity(0.16, MM),
                        ),
                        formula="P3.plug - P3.bore",
                    ),
                    Characteristic(id="clean", kind="yes-no", question="brushed?", unit="1"),
                ),
            ),
            Location(
                id="OH2",
                name="second oil hole",
                characteristics=(
                    Characteristic(
                        id="cover",
                        kind="coverage",
                        question="how much is covered?",
                        unit="%",
                        limit=Limit(source="builder's own", at_most=Quantity(41.0, "%")),
                    ),
                    Characteristic(id="deep", kind="depth", question="how deep?", unit=MM),
                    Characteristic(id="other", kind="depth", question="other end?", unit=MM),
                    Characteristic(
                        id="agree",
                        kind="agreement",
                        question="do they agree?",
                        unit="1",
                        of=("OH2.deep", "OH2.other"),
                    ),
                ),
            ),
        ),
        hold_points=(HoldPoint(id="lid", name="the lid", hides=("P3",), roles=("fitted",)),),
        gauges=(
            Gauge(
                id="MIC-2",
                kind="micrometer",
                resolution=Quantity(0.01, MM),
                permissible_error=Quantity(0.006, MM),
            ),
        ),
    )


def new_book(root: Path, the_plan: Plan | None = None) -> Book:
    return Book.create(
        root, the_plan or plan(), at=WHO["at"], bench="north", by=WHO["by"], version=VERSION
    )


def reading(key: str, value: float, *, half_step: float = 0.0005, unit: str = MM) -> Read:
    return Read(
        key=key,
        text=f"{value} {unit}",
        quantity=Quantity(value, unit, u=half_step / sqrt(3)),
        exact=str(value),
        half_step=half_step,
    )


def answer(key: str, said: bool) -> Read:
    return Read(key=key, text="yes" if said else "no", quantity=None, answer=said)


def file_photo(book: Book, location: str, role: Role = "fitted", content: bytes = PHOTO) -> str:
    """File a photo and return its id."""

    def describe(kept: Kept) -> PhotoTaken:
        return PhotoTaken(
            photo=kept.photo, suffix="jpg", bytes_count=kept.bytes_count, file_name="a.jpg",
            location=location, role=role, width_px=640, height_px=480,
        )  # fmt: skip

    taken = acts.file_photo(book, io.BytesIO(content), "jpg", describe, **WHO).evidence
    assert isinstance(taken, PhotoTaken)
    return taken.photo


def measure(
    layer: Layer,
    givens: Givens,
    *,
    seed: int,
    trials: int,
    lens: LensProfile | None = None,
    beside: Beside | None = None,
) -> Coverage:
    """Stand in for annotate.routes.accepted.measure: any fixed function of all it is given."""
    near = layer.rim("near")
    if near is None:
        raise CannotMeasure("the near rim is not marked")
    covered = sum(x + y / 3 for x, y in near.points_px) / 1000 + seed * 1e-4
    covered += 0.01 if givens.flat else 0.0
    covered += lens.fx * 1e-6 if lens else 0.0
    covered += 0.02 * len(beside.others) if beside else 0.0
    covered += 0.01 * beside.repeats.own_excess if beside and beside.repeats else 0.0
    nothing = Unknown("no length is known")
    return Coverage(
        covered=Known(Quantity(covered, "1", u=0.4 / trials**0.5)),
        open=Known(Quantity(1 - covered, "1", u=0.4 / trials**0.5)),
        covered_of_near=nothing, covered_of_far=nothing, open_area=nothing,
        equivalent_diameter=nothing, offset=nothing, offset_clock=nothing, largest_pin=nothing,
        line_of_sight=nothing, uncorrected=nothing,
        parallax=Parallax(nothing, nothing, nothing),
    )  # fmt: skip


def marks(photo: str, *, x_px: float = 90.0, **changes: Any) -> Marked:
    rim = Rim(which="near", points_px=((x_px, 30.0), (40.0, 60.0), (50.0, 0.0)), sigma_px=0.5)
    layer = Layer(width_px=640, height_px=480, marks=(rim,))
    values = {"seed": 3, "trials": 400, "givens": Givens()} | changes
    return Marked(
        key="OH2.cover", photo=photo, layer=layer, version=VERSION,
        result=measure(layer, values["givens"], seed=values["seed"], trials=values["trials"]),
        **values,
    )  # fmt: skip
