"""An invented job for the report's tests: entries, a drawn picture, and the book they make.

Engine, shop, people and every number are made up. The coverage numbers are those of the record,
not measured: what is tested is that they reach the page unchanged.
"""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any, Self

import numpy as np
from PIL import Image, ImageDraw

from annotate.coverage import BudgetLine, Coverage, Givens, Known, Parallax, Unknown
from annotate.marks import Ellipse, Layer, Rim
from annotate.quantity import Quantity
from store.book import Book, Kept
from store.characteristic import Characteristic, Limit
from store.codec import Entry
from store.errors import NotProven
from store.evidence import Marked, PhotoTaken, Read
from store.plan import Gauge, HoldPoint, Job, Location, Plan, Role
from store.round import Attempt
from store.written.acts import record_marks, record_reading, strike
from store.written.bench_acts import close, waive

WIDTH, HEIGHT = 800, 600
AT = "2026-11-17T16:30:00+01:00"


def mm(value: float, u: float = 0.0) -> Quantity:
    return Quantity(value, "mm", u)


def drawn_photo(shift_px: int = 0, *, orientation: int = 1, suffix: str = "JPEG") -> bytes:
    """A dark hole behind a grey one, drawn; ``orientation`` is written to EXIF, not applied."""
    picture = Image.new("RGB", (WIDTH, HEIGHT), (168, 164, 158))
    draw = ImageDraw.Draw(picture)
    draw.ellipse((290, 190, 510, 410), fill=(96, 92, 88))
    draw.ellipse((310 + shift_px, 200, 520 + shift_px, 410), fill=(22, 20, 19))
    draw.rectangle((0, 0, 60, 40), fill=(200, 30, 30))  # which corner is which
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = io.BytesIO()
    picture.save(out, suffix, quality=88, exif=exif)
    return out.getvalue()


def coverage(covered: float, u: float) -> Coverage:
    """A coverage record as if measured: all its numbers in proportion, none of them measured."""
    spread = np.random.default_rng(7).normal(covered, u, 4000).clip(0, 1)
    open_share = 1 - spread

    def known(samples: np.ndarray, unit: str) -> Known:
        return Known(Quantity.from_samples(samples, unit))

    return Coverage(
        covered=known(spread, "1"),
        open=known(open_share, "1"),
        covered_of_near=known(spread * 1.2, "1"),
        covered_of_far=known(spread, "1"),
        open_area=known(open_share * 41.0, "mm^2"),
        equivalent_diameter=known(np.sqrt(open_share) * 7.2, "mm"),
        offset=known(spread * 5.0, "mm"),
        offset_clock=Known(Quantity(200.0, "deg", 3.0)),
        largest_pin=known(7.2 - spread * 5.0, "mm"),
        line_of_sight=Known(Quantity(6.3, "deg", 1.4)),
        parallax=Parallax(
            Known(Quantity(0.21, "mm", 0.05)), Known(Quantity(-0.11, "mm", 0.05)),
            Unknown("the line of sight has two branches"),
        ),
        uncorrected=known(spread * 1.3, "1"),
        near=Ellipse(400, 300, 110, 108, 12.0),
        far=Ellipse(415, 305, 105, 104, 0.0),
        budget=(
            BudgetLine("line of sight", 100 * u * 0.8),
            BudgetLine("arc of the far rim", 100 * u * 0.55),
            BudgetLine("scale", 100 * u * 0.2), BudgetLine("wall", 0.0),
        ),
        warnings=("the far rim is seen over 150 degrees only",),
    )  # fmt: skip


def plan() -> Plan:
    own = "builder's own, agreed on the job card"
    manual = "maker's manual 4, page 31"
    oil_hole = Characteristic(
        "covered", "coverage", "How much of the feed does the bush cover?", "%",
        limit=Limit(own, at_most=Quantity(22.0, "%")), near_diameter=mm(7.2, 0.03),
        far_diameter=mm(7.0, 0.05), wall=mm(2.4, 0.1), flat=True,
    )  # fmt: skip
    plug = Location(
        "P1", "Gallery plug, left end",
        (
            Characteristic("face", "depth", "How deep is the lip below the face?", "mm",
                           limit=Limit(manual, at_least=mm(1.1), at_most=mm(1.9)),
                           datum="the machined face", gauge="D-2"),
            Characteristic("pad", "depth", "How deep is the lip, by the pad?", "mm",
                           datum="the casting pad", gauge="D-3"),
            Characteristic("same", "agreement", "Do the two depths agree?", "1",
                           of=("P1.face", "P1.pad")),
            Characteristic("sealed", "yes-no", "Is sealant seen all round?", "1"),
        ),
    )  # fmt: skip
    journal = Location(
        "J2", "Intermediate journal",
        (
            Characteristic("size", "length", "How big is the journal?", "in", gauge="M-1"),
            Characteristic("bush", "length", "How big is the bush?", "in", gauge="M-1"),
            Characteristic("room", "computed", "How much room for oil?", "in",
                           formula="J2.bush - J2.size",
                           limit=Limit(manual, at_least=Quantity(0.0021, "in"),
                                       at_most=Quantity(0.0047, "in"))),
        ),
    )  # fmt: skip
    return Plan(
        job=Job(
            "0862", "Ostrel marine three, short block", "W. Harrowgate", "Tarnside Bench",
            engine_number="OM3-0196",
            instructions=("Short block only; the owner fits the sump.",),
            declined=("New cam, advised on 12 November 2026.",),
            left_out=("bores and pistons", "cylinder head", "water jacket under pressure"),
            cautions=("Lifting: rated hoist, nobody under or beside the load.",),
        ),
        locations=(
            Location("B1", "Cam bush 1, oil hole", (oil_hole,), "bush hole", "block feed"),
            Location("B2", "Cam bush 2, oil hole", (oil_hole,), "bush hole", "block feed"),
            plug,
            journal,
            Location("S1", "Sump side", (
                Characteristic("primed", "yes-no", "Was oil seen at every point?", "1"),
                Characteristic("torque", "torque", "Bolt 1, last stage?", "N.m", gauge="W-1",
                               limit=Limit(manual, at_least=Quantity(43.0, "N.m"))),
            )),
        ),
        hold_points=(
            HoldPoint("A", "Camshaft", ("B1", "B2"), ("close-up",)),
            HoldPoint("B", "Front plate", ("P1", "J2"), ("fitted",),
                      caution="Eye protection when driving plugs."),
            HoldPoint("C", "Sump", ("S1",)),
        ),
        gauges=(
            Gauge("D-2", "depth micrometer", mm(0.01), mm(0.02), last_check="2026-11-10",
                  set_on="flat 3"),
            Gauge("D-3", "depth gauge", mm(0.01), mm(0.03), last_check="2026-11-10"),
            Gauge("M-1", "micrometer 1 to 2 in", Quantity(0.0001, "in"), Quantity(0.0001, "in"),
                  last_check="2026-11-09"),
            Gauge("W-1", "torque wrench", Quantity(0.5, "N.m"), Quantity(2.0, "N.m")),
        ),
    )  # fmt: skip


class Bench:
    """Fills a book through its own acts, one every seven minutes."""

    def __init__(self, root: Path, job_plan: Plan | None = None, *, follows: str = "") -> None:
        self._minute = 0
        self.book = Book.create(
            root, job_plan or plan(), at=self.now(), bench="tarnside", by="T. Quayle",
            version="0.1.0", follows=follows,
        )  # fmt: skip

    @classmethod
    def on(cls, book: Book) -> "Bench":
        """Go on with a book that is there, later than all that is in it."""
        bench = cls.__new__(cls)
        bench.book, bench._minute = book, 7 * (len(book.entries()) + 1)
        return bench

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.book.close()

    def now(self) -> str:
        self._minute += 7
        hours, minute = divmod(self._minute, 60)
        return f"2026-11-{13 + hours // 8}T{9 + hours % 8:02d}:{minute:02d}:00+01:00"

    def photo(self, location: str, role: Role, data: bytes, **more: Any) -> str:
        def describe(kept: Kept) -> PhotoTaken:
            return PhotoTaken(
                kept.photo, "jpg", kept.bytes_count, "IMG_1.jpg", location, role,
                more.pop("width_px", WIDTH), more.pop("height_px", HEIGHT),
                "2026-11-13T08:58:11+01:00", **more,
            )  # fmt: skip

        entry = self.book.add_photo(
            io.BytesIO(data), "jpg", describe, at=self.now(), by="T. Quayle"
        )
        assert isinstance(entry.evidence, PhotoTaken)
        return entry.evidence.photo

    def read(self, reading: Read, *, by: str = "T. Quayle") -> Attempt:
        check = record_reading(self.book, reading, at=self.now(), by=by)
        return (check.readings or check.attempts)[-1]

    def mark(
        self, key: str, photo: str, result: Coverage, *, second_to: str = "", by: str = "T. Quayle"
    ) -> Attempt:
        rim = Rim("near", ((510.0, 300.0), (400.0, 410.0), (290.0, 300.0)), 0.8)
        characteristic = self.book.plan.characteristic(key)[1]
        givens = Givens(characteristic.near_diameter, characteristic.far_diameter, mm(2.4, 0.1))
        layer = Layer(WIDTH, HEIGHT, (rim,))
        blind = bool(second_to)
        marked = Marked(key, photo, layer, givens, 3, 4000, "0.1.0", result, blind, second_to)
        check = record_marks(self.book, marked, at=self.now(), by=by)
        return check.seconds[-1].attempt if blind else check.attempts[-1]

    def do(
        self, act: Callable[..., Entry], *args: Any, by: str = "T. Quayle", **more: Any
    ) -> Entry:
        """Do one act of the bench, now."""
        return act(self.book, *args, at=self.now(), by=by, **more)

    def strike(self, entry: str, reason: str, *, by: str = "R. Oakes") -> None:
        strike(self.book, entry, reason, at=self.now(), by=by)

    def close(self, hold: str) -> bool:
        try:
            close(self.book, hold, at=self.now(), by="T. Quayle")
        except NotProven:
            return False
        return True


def filled(root: Path, pictures: tuple[bytes, bytes, bytes] | None = None) -> Book:
    """The whole job: attempts, a strike, a waiver, a refusal, a closing, something not done."""
    one, two, three = pictures or (drawn_photo(30), drawn_photo(0), drawn_photo(60))
    bench = Bench(root)
    bench.photo("B1", "overall", one)
    bench.mark("B1.covered", bench.photo("B1", "close-up", two), coverage(0.414, 0.03))
    bench.mark("B1.covered", bench.photo("B1", "close-up", three), coverage(0.118, 0.019))
    bench.mark("B2.covered", bench.photo("B2", "close-up", one), coverage(0.197, 0.024))
    assert not bench.close("A")
    waive(
        bench.book, "A", "B2.covered", reason="The pin goes through, I stand by it.",
        decided_by="T. Quayle", owner_agreed="by telephone, 13 November 2026, 15:10",
        at=bench.now(), by="T. Quayle",
    )  # fmt: skip
    assert bench.close("A")
    wrong = bench.read(
        Read("P1.face", "2.04 mm", mm(2.04, 0.015), "2.04", face="BELOW", gauge="D-2")
    )
    bench.strike(wrong.stamp.entry, "one turn of the thimble too many")
    bench.read(
        Read("P1.face", "1.54", mm(1.54, 0.015), "1.54", unit_assumed=True, face="BELOW",
             gauge="D-2", read_at="2026-11-13T11:02:00+01:00")
    )  # fmt: skip
    bench.read(Read("P1.pad", "1.56 mm", mm(1.56, 0.02), "1.56", face="BELOW", gauge="D-3"))
    bench.read(Read("P1.sealed", "yes", None, answer=True))
    bench.read(Read("J2.size", "1.7483 in", Quantity(1.7483, "in", 0.00006), "1.7483", gauge="M-1"))
    bench.read(Read("J2.bush", "1 3/4 in", Quantity(1.75, "in", 0.0001), "7/4", gauge="M-1"))
    return bench.book
