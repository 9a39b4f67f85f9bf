"""An invented whole reassembly for the report's tests: everything that a book can hold, once.

Engine, shop, people and every number are made up; nothing in it is measured.
"""

import io
from pathlib import Path

from PIL import Image, ImageDraw

from annotate.quantity import Quantity
from store.book import Book, Kept
from store.change import DecidingSet, LimitSet, NeverFitted
from store.characteristic import Band, Characteristic, Doubt, Limit, Spot
from store.evidence import KitCounted, MapPlaced, OwnerSaid, PaperKept, Read, SlipAsked, Zero
from store.plan import Gauge, HoldPoint, Job, KitLine, Location, Part, Plan
from store.written.acts import record_reading, rework
from store.written.bench_acts import (
    clear_gauge,
    close,
    count_kit,
    fit,
    log_debris,
    owner_said,
    place_on_map,
    reopen,
    suspect_gauge,
    take_out,
    waive,
)
from store.written.plan_acts import change_plan
from tests.store.report.report_job import Bench, coverage, drawn_photo, mm

MANUAL = "maker's manual 7, page 112"
MAP_WIDTH, MAP_HEIGHT = 1200, 800
PLACED = {
    "F1": (190.0, 160.0), "F2": (262.0, 178.0), "F3": (1010.0, 180.0), "G1": (640.0, 420.0),
    "C1": (420.0, 560.0), "M1": (900.0, 610.0),
}  # fmt: skip


def um(value: float) -> Quantity:
    return Quantity(value, "um")


def face_photo() -> bytes:
    """A drawn block face with a dark hole at every place of PLACED."""
    picture = Image.new("RGB", (MAP_WIDTH, MAP_HEIGHT), (150, 147, 141))
    draw = ImageDraw.Draw(picture)
    draw.rectangle((0, 700, MAP_WIDTH, MAP_HEIGHT), fill=(70, 70, 74))
    for x, y in PLACED.values():
        draw.ellipse((x - 22, y - 22, x + 22, y + 22), fill=(28, 26, 25))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=88)
    return out.getvalue()


def _plug(number: int) -> Location:
    deep = Characteristic(
        "deep", "depth", "How deep is the plug?", "mm", datum="the front face", gauge="D-2",
        limit=Limit(MANUAL, at_least=mm(0.7), at_most=mm(1.6)),
    )  # fmt: skip
    seal = Characteristic("seal", "note", "Which sealant, from which batch?", "1")
    dry = Characteristic(
        "dry", "yes-no", "Dry after the air test?", "1",
        caution="Air in a passage: eye protection, and no more than 2 bar.",
    )  # fmt: skip
    return Location(
        f"F{number}", f"Front plug {number}", (deep, seal, dry), plug=True, group="front"
    )


def _journal() -> Location:
    new = Limit(
        MANUAL, at_least=mm(48.212), at_most=mm(48.231),
        printed="48.212 - 48.231 mm (1.8981 - 1.8990 in)",
        settled="The inches are 1 ten-thousandth wide of the millimetres; the millimetres were "
        "taken, as the tighter.",
    )  # fmt: skip
    worn = Limit(MANUAL, at_least=mm(48.19))
    size = Characteristic(
        "size", "length", "How big is the journal?", "mm", limit=new, wear_limit=worn,
        gauge="M-3", positions=("front", "rear"), axes=("along", "across"), repeats=2,
        found=True, part="crank", material="steel", take="smallest",
    )  # fmt: skip
    round_ = Characteristic(
        "round", "computed", "How much is it out of round?", "mm",
        formula="out_of_round(M1.size)", limit=Limit(MANUAL, at_most=mm(0.016)),
    )  # fmt: skip
    shell = Characteristic(
        "shell", "length", "How big is the fitted shell?", "mm", gauge="B-1",
        doubts=(Doubt("rocking the gauge", mm(0.001)),),
        wear_limit=Limit(MANUAL, at_most=mm(48.29)),
    )  # fmt: skip
    room = Characteristic(
        "room", "computed", "How much room for oil?", "mm",
        formula="M1.shell - M1.size", asks="oil clearance of the main bearings, maker's figure",
        bands=(Band("red shells", at_most=mm(0.04)), Band("blue shells", at_least=mm(0.04))),
    )  # fmt: skip
    float_ = Characteristic(
        "float", "length", "How much end float?", "mm", gauge="I-5", repeats=3, take="range",
        limit=Limit(MANUAL, at_most=mm(0.09)),
    )  # fmt: skip
    return Location("M1", "Main journal 1", (size, round_, shell, room, float_))


def plan() -> Plan:
    oil = Characteristic(
        "covered", "coverage", "How much of the feed does the bush cover?", "%",
        limit=Limit("builder's own, agreed on the job card", at_most=Quantity(27.0, "%")),
        near_diameter=mm(7.2, 0.03), far_diameter=mm(7.0, 0.05), wall=mm(2.4, 0.1), flat=True,
    )  # fmt: skip
    pins = Characteristic("pins", "pin", "Which pin passes, which stops?", "mm")
    same = Characteristic("same", "agreement", "Do photo and pin agree?", "1",
                          of=("C1.covered.pin", "C1.pins"))  # fmt: skip
    brushed = Characteristic("brushed", "yes-no", "Brushed through?", "1")
    lit = Characteristic("lit", "yes-no", "Light seen from end to end?", "1")
    turn = Characteristic("turn", "angle", "How far was bolt 1 turned?", "deg",
                          limit=Limit(MANUAL, at_least=Quantity(58, "deg")))  # fmt: skip
    drop = Characteristic("drop", "time", "How long until it reads half?", "s")
    return Plan(
        job=Job(
            "0871", "Ostrel marine four, short block", "W. Harrowgate", "Tarnside Bench",
            engine_number="OM4-0233", instructions=("Short block; the owner fits the head.",),
            declined=("New oil pump, advised at the start.",), left_out=("cylinder head",),
            cautions=("Lifting: rated hoist, nobody under or beside the load.",),
        ),
        locations=(
            _plug(1), _plug(2), _plug(3),
            Location("G1", "Main oil gallery", (brushed, lit), gallery=True),
            Location("C1", "Cam bush 1, oil hole", (oil, pins, same), "bush hole", "block feed"),
            _journal(),
            Location("S1", "Sump side", (turn, drop)),
        ),
        hold_points=(
            HoldPoint("A", "Front plate", ("F1", "F2", "F3", "G1"), ("fitted",), debris=True,
                      seal=True, caution="Eye protection when driving plugs."),
            HoldPoint("B", "Camshaft", ("C1",)),
            HoldPoint("C", "Sump", ("A", "B", "M1", "S1"), seal=True),
        ),
        gauges=(
            Gauge("D-2", "depth micrometer", mm(0.01), mm(0.02), last_check="2026-11-10",
                  due="2026-11-14", set_on="R-9", marked="4417"),
            Gauge("M-3", "micrometer 25 to 50 mm", mm(0.001), mm(0.002), mm(0.0008), 12,
                  last_check="2026-11-10", due="2027-05-10", set_on="R-9"),
            Gauge("R-9", "setting rod 25 mm", mm(0.001), mm(0.001), last_check="2026-02-03"),
            Gauge("B-1", "bore gauge 35 to 60 mm", mm(0.001), mm(0.003), difference=True,
                  last_check="2026-11-10", due="2027-05-10"),
            Gauge("I-5", "dial indicator", mm(0.01), mm(0.015), last_check="2026-11-01"),
        ),
        parts=(
            Part("crank", "crankshaft", "M1"), Part("plug-1", "front plug 1", "F1", "plugs"),
            Part("plug-2", "front plug 2", "F2", "plugs"),
        ),
        kit=(KitLine("plugs", "cup plugs", 4, mm(24.6)), KitLine("clips", "pump clips", 3)),
    )  # fmt: skip


class Whole:
    """Does the whole job, step by step."""

    def __init__(self, root: Path, *, follows: str = "") -> None:
        self.bench = Bench(root, plan(), follows=follows)

    @property
    def book(self) -> Book:
        return self.bench.book

    def size(self, value: str, spot: Spot, **more: object) -> Read:
        """One reading of the journal."""
        return Read("M1.size", f"{value} mm", mm(float(value)), value, half_step=0.0005,
                    gauge="M-3", spot=spot, part_c=20.5, gauge_c=20.0, **more)  # type: ignore[arg-type] # fields of Read  # fmt: skip

    def journal(self, values: dict[tuple[str, str], tuple[str, str]]) -> list[str]:
        """Read the whole grid; return the entries."""
        made = []
        for repeat in (1, 2):
            for (position, axis), pair in values.items():
                spot = Spot(position, axis, repeat)
                reading = self.size(pair[repeat - 1], spot)
                check = record_reading(self.book, reading, at=self.bench.now(), by="T. Quayle")
                made.append(check.readings[-1].stamp.entry)
        return made


def filled(root: Path, *, follows: str = "") -> Book:
    """The whole job, with all that can go wrong in one."""
    whole = Whole(root, follows=follows)
    _arrival(whole)
    _plugs(whole)
    _cam(whole)
    _crank(whole)
    _ends(whole)
    return whole.book


def _arrival(whole: Whole) -> None:
    bench = whole.bench
    overall = bench.photo("G1", "overall", face_photo(), up="the sump face", width_px=MAP_WIDTH,
                          height_px=MAP_HEIGHT)  # fmt: skip
    for location, (x, y) in PLACED.items():
        bench.do(place_on_map, MapPlaced(location, overall, x, y))
    crank = "Keep the old crank if it can be kept."
    bench.do(owner_said, OwnerSaid("instruction", crank, "letter of 12 November", "W. Harrowgate"))
    bench.do(owner_said, OwnerSaid("told", "Front plug 3 does not exist on this block.", "phone"))
    sheet = io.BytesIO(b"%PDF-1.4 an invented sheet of a machine shop")

    def described(kept: Kept) -> PaperKept:
        return PaperKept(kept.photo, "pdf", kept.bytes_count, "grinding-sheet.pdf",
                         "machine shop's sheet of the crank", "M1", ("M1.size",))  # fmt: skip

    whole.book.add_paper(sheet, "pdf", described, at=bench.now(), by="T. Quayle")
    bench.do(count_kit, KitCounted("plugs", 4, mm(24.61), "one bag, sealed"))
    bench.do(count_kit, KitCounted("clips", 2))


def _plugs(whole: Whole) -> None:
    bench = whole.bench
    for location in ("F1", "F2"):
        bench.do(take_out, location, size="24.6 mm cup", words="was flush")
    bare = bench.photo("F3", "bare bore", drawn_photo(10), view="mirror", up="the top of the photo")
    bench.do(change_plan, NeverFitted("F3", bare), "solid casting, no drilling")
    bench.do(log_debris, "G1", how="brushed and blown", clean=False, found="casting sand, 3 grains")
    bench.do(log_debris, "G1", how="brushed again, looked through with a light", clean=True)
    for key in ("G1.brushed", "G1.lit"):
        bench.read(Read(key, "yes", None, answer=True))
    bench.do(fit, "plug-1", "bag 3, piece 1", words="driven with the stepped drift")
    asked = SlipAsked("F1.deep", "1.12 mm", ("ten times what its neighbours read",), "stands")
    reading = Read(
        "F1.deep", "1.12 mm", mm(1.12), "1.12", half_step=0.005, face="BELOW", gauge="D-2"
    )
    record_reading(whole.book, reading, at=bench.now(), by="T. Quayle", asked=asked)
    bench.read(Read("F1.seal", "anaerobic, batch 61-C", None))
    bench.read(Read("F1.dry", "yes", None, answer=True))
    bench.photo("F1", "fitted", drawn_photo(20), gauge="D-2", keys=("F1.deep",))


def _cam(whole: Whole) -> None:
    bench = whole.bench
    photo = bench.photo("C1", "close-up", drawn_photo(15), view="borescope")
    first = bench.mark("C1.covered", photo, coverage(0.231, 0.02))
    bench.mark(
        "C1.covered", photo, coverage(0.244, 0.02), second_to=first.stamp.entry, by="R. Oakes"
    )
    pins = Read("C1.pins", "5.9 mm passed, 6.1 mm stopped", mm(6.0), "6", plus_minus=0.1)
    bench.read(pins)
    assert bench.close("B")
    bench.do(reopen, "B", "the cam had to come out again for its thrust plate")


def _crank(whole: Whole) -> None:
    bench = whole.bench
    found = {
        ("front", "along"): ("48.214", "48.215"), ("front", "across"): ("48.187", "48.188"),
        ("rear", "along"): ("48.213", "48.214"), ("rear", "across"): ("48.211", "48.212"),
    }  # fmt: skip
    entries = whole.journal(found)
    bench.strike(entries[1], "one division read wrongly")
    check = record_reading(
        whole.book, whole.size("48.186", Spot("front", "across", 1)), at=bench.now(), by="R. Oakes"
    )
    assert check.current is not None
    bench.do(rework, ("M1.size",), "journal polished, high spot at the front taken down")
    whole.journal(
        {
            ("front", "along"): ("48.214", "48.214"),
            ("front", "across"): ("48.202", "48.203"),
            ("rear", "along"): ("48.213", "48.213"),
            ("rear", "across"): ("48.210", "48.211"),
        }
    )
    bench.do(change_plan, DecidingSet("M1.size", "wear"), "a used crank is kept on purpose")
    left = whole.book.round().check("M1.size").current
    assert left is not None
    assert left.value is not None
    zero = Zero(left.value, words="M-3 set to the journal")
    bench.read(Read("M1.shell", "0.061 mm", mm(48.263), "0.061", half_step=0.0005, gauge="B-1",
                    zero=zero, direction="bigger"))  # fmt: skip
    bench.do(
        change_plan, LimitSet("M1.shell", Limit(MANUAL, at_most=mm(48.27))), "found on page 112"
    )
    for repeat, value in ((1, "0.05"), (2, "0.11")):
        bench.read(Read("M1.float", f"{value} mm", mm(float(value)), value, half_step=0.005,
                        gauge="I-5", spot=Spot(repeat=repeat)))  # fmt: skip
    bench.do(fit, "crank", "stamped 7K-20")


def _ends(whole: Whole) -> None:
    bench = whole.bench
    bench.read(Read("S1.turn", "61 deg", Quantity(61, "deg", 1.0), "61", half_step=0.5))
    bench.do(suspect_gauge, "D-2", since="2026-11-13", reason="dropped on its anvil")
    bench.do(suspect_gauge, "I-5", since="2026-11-13", reason="sticks now and then")
    bench.do(clear_gauge, "I-5", reason="cleaned and tried on blocks, reads true")
    assert not bench.close("A")
    for key in ("F1.deep", "F2.deep", "F2.seal", "F2.dry", "F2", "G1"):
        bench.do(waive, "A", key, reason="The plate comes off again for the pump.",
                 decided_by="T. Quayle", owner_agreed="by phone, 14 November 2026")  # fmt: skip
    bench.do(close, "A")
