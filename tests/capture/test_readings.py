"""Typed text for one check -> the reading that is kept: every kind, spots, zeros, temperatures."""

from math import hypot, inf, nan, sqrt

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from capture.errors import BadReading, WrongUse
from capture.readings import LONGEST_NOTE, read_of, reread
from store.characteristic import Characteristic, Doubt, Spot
from store.codec import FIRST_PREV, decode, encode
from store.evidence import Read, Zero
from store.plan import Gauge, Job, Location, Plan

BORE_GAUGE = Gauge(
    "bg-1", "bore gauge", Quantity(0.0001, "in"), Quantity(0.0001, "in"), difference=True
)
MIC = Gauge("mic-1", "micrometer", Quantity(0.001, "mm"), Quantity(0.004, "mm"))
WRENCH = Gauge("tw-1", "torque wrench", Quantity(1, "N.m"), Quantity(2, "N.m"))


def check(id_: str, kind: str, unit: str, **more: object) -> Characteristic:
    return msgspec.convert(
        {"id": id_, "kind": kind, "question": f"{id_}?", "unit": unit} | more, Characteristic
    )


PLAN = Plan(
    Job("T-9", "Bench rig", "Ada Quill", "Back Lane Bench"),
    (
        Location(
            "C1",
            "Cylinder 1",
            (
                check("bore", "length", "in", gauge="bg-1", positions=["top", "low"], axes=["a"]),
                check("skirt", "length", "mm", gauge="mic-1"),
                check("stage2", "angle", "deg"),
                check("hold", "time", "min"),
                check("drop", "pressure", "psi/min"),
                check("pin", "pin", "mm"),
                check("lip", "depth", "mm", gauge="bg-1"),
                check("sealant", "note", "1"),
                check("clean", "yes-no", "1"),
                check("bolt", "torque", "N.m", gauge="tw-1"),
                check("gap", "computed", "mm", formula="C1.bore - C1.skirt"),
                check("same", "agreement", "1", of=["C1.skirt", "C1.bore"]),
                check("again", "length", "mm", repeats=3),
            ),
        ),
    ),
    gauges=(BORE_GAUGE, MIC, WRENCH),
)
TOP = Spot("top", "a")
ZERO = Zero(Quantity(3.5, "in", u=0.0001, dof=9), words="mic at 3.5000 in")


@pytest.mark.parametrize(
    ("key", "text", "unit", "value", "exact"),
    [
        ("C1.stage2", "90°", "deg", 90, "90"),
        ("C1.stage2", "1/4 turn", "turn", 0.25, "0.25"),
        ("C1.stage2", "2 turns", "turn", 2, "2"),
        ("C1.hold", "20", "min", 20, "20"),
        ("C1.hold", "90 s", "s", 90, "90"),
        ("C1.hold", "1.5 h", "h", 1.5, "1.5"),
        ("C1.drop", "0.4 psi/min", "psi/min", 0.4, "0.4"),
        ("C1.drop", "2.5 kPa per min", "kPa/min", 2.5, "2.5"),
    ],
)
def test_angles_times_and_drops_are_readings(
    key: str, text: str, unit: str, value: float, exact: str
) -> None:
    read = read_of(PLAN, key, text)
    assert read.quantity is not None
    assert (read.quantity.unit, read.quantity.value, read.exact) == (unit, value, exact)


def test_a_reading_keeps_its_last_step_and_its_plus_minus() -> None:
    read = read_of(PLAN, "C1.skirt", "91.42")
    assert (read.half_step, read.plus_minus) == (0.005, None)
    read = read_of(PLAN, "C1.skirt", "91.42 mm +- 1 thou")
    assert (read.half_step, read.plus_minus) == (0.005, 0.0254)


def test_two_pins_are_one_reading_over_their_band() -> None:
    read = read_of(PLAN, "C1.pin", "2.7 mm passed, 3.0 mm stopped")
    assert read.quantity == Quantity(2.85, "mm", u=0.15 / sqrt(3))  # JCGM 100:2008 4.3.7
    assert (read.half_step, read.plus_minus, read.exact) == (0.05, 0.15, "2.85")
    with pytest.raises(BadReading, match="what stopped is not said"):
        read_of(PLAN, "C1.pin", "2.7 mm passed")


@pytest.mark.parametrize("text", ["batch 7-B, open 4 min", "Ölwanne: dünn", "one\n\ttwo", "n"])
def test_a_note_is_kept_as_it_was_typed(text: str) -> None:
    read = read_of(PLAN, "C1.sealant", text)
    assert (read.text, read.quantity, read.answer, read.exact) == (text, None, None, "")


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "nothing was typed"),
        (" \n", "nothing was typed"),
        ("a" * (LONGEST_NOTE + 1), f"{LONGEST_NOTE + 1} characters are too many for a note"),
        ("a\x07b", "there is an invisible character in it"),
        ("a\ud800b", "there is an invisible character in it"),
        ("a\u200bb", "there is an invisible character in it"),
    ],
)
def test_a_note_without_words_is_refused(text: str, reason: str) -> None:
    with pytest.raises(BadReading) as refusal:
        read_of(PLAN, "C1.sealant", text)
    assert refusal.value.reason == reason
    assert refusal.value.advice


def test_the_longest_note_is_taken() -> None:
    assert read_of(PLAN, "C1.sealant", "a" * LONGEST_NOTE).text == "a" * LONGEST_NOTE


@pytest.mark.parametrize(("word", "size_in"), [("bigger", 3.5021), ("smaller", 3.4979)])
def test_a_difference_gauge_gives_the_parts_size(word: str, size_in: float) -> None:
    read = read_of(PLAN, "C1.bore", f"2.1 thou {word}", spot=TOP, zero=ZERO)
    assert (read.exact, read.direction, read.zero) == ("0.0021", word, ZERO)
    assert read.half_step == 0.00005
    assert read.quantity is not None
    assert read.quantity.value == pytest.approx(size_in, abs=1e-12)
    assert read.quantity.unit == "in"
    # JCGM 100:2008 4.3.7, 5.1.2: half a step and permissible error, rectangles; the zero's own u
    dial_u = hypot(0.00005, 0.0001) / sqrt(3)
    assert read.quantity.u == pytest.approx(hypot(dial_u, 0.0001))
    # G.4.1: only the zero's part has finite degrees of freedom
    assert read.quantity.dof == pytest.approx(read.quantity.u**4 / (0.0001**4 / 9))


def test_same_is_the_size_it_was_zeroed_to() -> None:
    read = read_of(PLAN, "C1.bore", "same", spot=TOP, zero=ZERO)
    assert read.quantity is not None
    assert (read.quantity.value, read.direction, read.exact) == (3.5, "same", "0")


def test_a_zero_in_another_unit_is_converted_to_the_dials() -> None:
    zero = Zero(Quantity(88.9, "mm", u=0.001))
    read = read_of(PLAN, "C1.bore", "0.002 in bigger", spot=TOP, zero=zero)
    assert read.quantity is not None
    assert (read.quantity.unit, read.quantity.value) == ("in", pytest.approx(3.502))


@pytest.mark.parametrize(
    ("key", "text", "more", "told"),
    [
        ("C1.bore", "same", {"spot": TOP}, "bg-1 reads a difference: say what it was zeroed to"),
        ("C1.skirt", "91.4", {"zero": ZERO}, "mic-1 reads no difference and has no zero"),
        ("C1.hold", "20", {"zero": ZERO}, "no gauge reads no difference and has no zero"),
        ("C1.clean", "yes", {"zero": ZERO}, "C1.clean is answered in words: nothing was zeroed"),
        ("C1.lip", "same", {"zero": ZERO}, "bg-1 reads a difference of lengths, and lip is none"),
        ("C1.bore", "same", {"zero": ZERO}, "C1.bore is read at top, a; low, a: say at which"),
        ("C1.again", "1", {"spot": TOP}, "C1.again is read at no. 1; no. 2; no. 3: say at which"),
        ("C1.skirt", "91.4", {"spot": TOP}, "C1.skirt is read once, not at top, a"),
        ("C1.skirt", "91.4", {"part_c": nan}, "nan °C is no temperature"),
        ("C1.skirt", "91.4", {"gauge_c": inf}, "inf °C is no temperature"),
        ("C1.skirt", "91.4", {"part_c": -273.16}, "-273.16 °C is no temperature"),
        (
            "C1.skirt",
            "91.4",
            {"gauge": "mic-7"},
            "no gauge 'mic-7' in this job; there are bg-1, mic",
        ),
        ("C1.gap", "1", {}, "C1.gap is worked out as C1.bore - C1.skirt: type what stands in it"),
        ("C1.same", "1", {}, "C1.same is worked out from C1.skirt and C1.bore: type those"),
    ],
)
def test_what_cannot_be_so_is_told(key: str, text: str, more: dict[str, object], told: str) -> None:
    with pytest.raises(WrongUse) as refusal:
        read_of(PLAN, key, text, **more)
    assert str(refusal.value).startswith(told)


def test_a_size_of_nothing_or_less_is_refused() -> None:
    with pytest.raises(BadReading, match="larger than what the gauge was zeroed to"):
        read_of(PLAN, "C1.bore", "3.5 in smaller", spot=TOP, zero=ZERO)


def test_a_zero_of_another_kind_is_refused() -> None:
    with pytest.raises(UnitMismatch):
        read_of(PLAN, "C1.bore", "same", spot=TOP, zero=Zero(Quantity(3, "N.m")))


def test_everything_said_about_a_reading_is_kept() -> None:
    more = {
        "gauge": "mic-1", "read_at": "on paper", "doubts": (Doubt("burr", Quantity(0.01, "mm")),),
        "part_c": 21.5, "gauge_c": 20.0, "photos": ("ab",),
    }  # fmt: skip
    for key, text in (("C1.skirt", "91.42"), ("C1.clean", "yes"), ("C1.sealant", "batch 7")):
        read = read_of(PLAN, key, text, **more)
        assert {name: getattr(read, name) for name in more} == more
    assert read_of(PLAN, "C1.again", "3", spot=Spot(repeat=3)).spot == Spot(repeat=3)


KEPT = [
    ("C1.bore", "2.1 thou bigger", {"spot": TOP, "zero": ZERO}),
    ("C1.bore", "same", {"spot": TOP, "zero": ZERO}),
    ("C1.skirt", "91.42", {"part_c": -273.15, "gauge": "mic-1"}),
    ("C1.pin", "2.7 to 3.0 mm", {}),
    ("C1.sealant", "batch 7", {}),
    ("C1.again", "9.1", {"spot": Spot(repeat=2)}),
    ("C1.stage2", "1/4 turn", {}),
]


@pytest.mark.parametrize(("key", "text", "more"), KEPT)
def test_what_is_kept_is_worth_the_same_again(key: str, text: str, more: dict[str, object]) -> None:
    read = read_of(PLAN, key, text, **more)
    assert reread(PLAN, read) == read
    entry = encode(
        read, seq=1, prev=FIRST_PREV, salt="0" * 32, at="2026-01-05T10:00:00+01:00",
        bench="b", by="Ada",
    )  # fmt: skip
    again = decode(entry.line).evidence
    assert again == read
    assert isinstance(again, Read)
    assert reread(PLAN, again) == read


def test_what_is_refused_now_is_worth_nothing() -> None:
    assert reread(PLAN, Read("C1.bore", "same", None, spot=TOP)) is None
    assert reread(PLAN, Read("C1.pin", "2.7 mm passed", None)) is None
    assert reread(PLAN, Read("C9.pin", "2 to 3", None)) is None
    assert (
        reread(PLAN, Read("C1.bore", "same", None, spot=TOP, zero=Zero(Quantity(3, "s")))) is None
    )


TYPED_KEYS = [key for key, _, each in PLAN.walk() if not each.is_worked_out]


@given(st.text() | st.sampled_from(["0.1 in bigger", "1 turn", "yes", "3 mm stopped"]))
def test_any_text_for_any_check_is_a_reading_or_a_bad_one(text: str) -> None:
    for key in TYPED_KEYS:
        spot = PLAN.characteristic(key)[1].spots[0]
        zero = ZERO if key == "C1.bore" else None
        gauge = "mic-1" if key == "C1.lip" else ""
        try:
            read = read_of(PLAN, key, text, spot=spot, zero=zero, gauge=gauge)
        except BadReading:
            continue
        assert read.text == text


def test_a_figure_off_a_photo_names_no_gauge_and_is_read_again_the_same() -> None:
    doubt = Doubt("measured on this photo", Quantity(0.06, "mm"))
    free = read_of(PLAN, "C1.skirt", "81.94 mm", gauge=None, doubts=(doubt,))
    gauged = read_of(PLAN, "C1.skirt", "81.94 mm", doubts=(doubt,))
    assert (free.gauge, gauged.gauge) == ("", "mic-1")
    # Half a step of 0.01 mm and the doubt, both rectangles (JCGM 100:2008, 4.3.7): no third part.
    assert free.quantity.u == pytest.approx(hypot(0.005, 0.06) / sqrt(3), rel=1e-9)
    assert gauged.quantity.u > free.quantity.u
    assert reread(PLAN, free) == free
    assert reread(PLAN, gauged) == gauged
