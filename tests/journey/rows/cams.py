"""Cam tunnel, a job in US units. Worked in inches; 1 mm is 1/25.4 in."""

from math import sqrt
from pathlib import Path

from annotate.givens import Givens
from annotate.quantity import Quantity
from capture.entry import parse_length
from capture.intake.photo import read_photo
from capture.journey import Journey
from capture.layers import bare_layer, with_rims
from store.characteristic import Band, Characteristic
from store.evidence import PhotoTaken
from tests.capture.samples import HOLES
from tests.journey.rows.case import (
    Act,
    Bench,
    Case,
    Wanted,
    added,
    gauge,
    grid,
    in_order,
    job,
    limit,
    typed,
)
from tests.journey.rows.independent import (
    Exact,
    Outcome,
    Spread,
    Tool,
    Trials,
    by_trials,
    en,
    exact,
    highest,
    mean,
)

MM = 1 / 25.4
SAMPLES = Path(__file__).resolve().parents[3] / "sample_images"

BORE = gauge("bore-2", "bore gauge", (0.0001, "in"), (0.0002, "in"))
MIC = gauge("mic-2", "outside micrometer 1-2 in", (0.0001, "in"), (0.0002, "in"))
DIAL = gauge("dial-2", "dial indicator 0-0.5 in", (0.0005, "in"), (0.0005, "in"))

# --- clearance. 0.002-0.003 in is common practice, no source.


def bore_1(tool: Tool) -> list[Spread]:
    # 50.83 mm is 2.0011811 in, typed to 0.01 mm; the mean is 2.00127028 in
    return [
        tool.reads(2.0012), tool.reads(2.0014), tool.reads(2.0013),
        tool.reads(50.83 * MM, 0.01 * MM),
    ]  # fmt: skip


def _journals(tool: Tool) -> list[Spread]:
    return [tool.reads(value) for value in (1.9988, 1.9987, 1.9987, 1.9988)]


def _round_1() -> Outcome:
    # front 2.0014 - 2.0012 = 0.0002, rear 2.0013 - 2.0011811 = 0.0001189
    a, b, c, d = bore_1(Tool(Trials(), 0.0001, 0.0002))
    return by_trials(0.0002, highest([abs(b - a), abs(d - c)]))


def _clearance_1() -> Outcome:
    # 2.00127028 - 1.99875 = 0.00252028 in; two gauges, nothing cancels
    bore, mic = (Tool(Exact(), 0.0001, 0.0002) for _ in range(2))
    return exact(mean(bore_1(bore)) - mean(_journals(mic)))


CAM_1 = Case(
    "cam bearing bore, journal, clearance, end play",
    "a reading in mm, two gauges",
    (
        limit("C1.bore-round", at_most=(0.001, "in")),
        limit("C1.clearance", (0.002, "in"), (0.003, "in")),
        grid(
            "C1.bore",
            {
                "rear across": "50.83 mm", "front up-down": "2.0012", "front across": "2.0014",
                "rear up-down": "2.0013 in",
            },
            gauge="bore-2",
        ),
        in_order("C1.journal", "1.9988", "1.9987", "1.9987 in", '1.9988"', gauge="mic-2"),
    ),
    (
        Wanted("C1.bore", "no limit", exact(mean(bore_1(Tool(Exact(), 0.0001, 0.0002)))), "in"),
        Wanted("C1.bore-round", "within", _round_1(), "in"),
        Wanted(
            "C1.journal", "no limit", exact(mean(_journals(Tool(Exact(), 0.0001, 0.0002)))), "in"
        ),
        Wanted("C1.clearance", "within", _clearance_1(), "in"),
    ),
)  # fmt: skip


def _clearance(*bores: float) -> Outcome:
    bore, mic = (Tool(Exact(), 0.0001, 0.0002) for _ in range(2))
    return exact(mean([bore.reads(value) for value in bores]) - mean(_journals(mic)))


# (2.0030 + 2.0031 + 2.0030 + 2.0029) / 4 - 1.99875 = 0.00425 in: 0.00125 above, u 0.00017.
CAM_2 = Case(
    "cam bearing bore, journal, clearance, end play",
    "the wrong bearing in the bore",
    (
        limit("C2.clearance", (0.002, "in"), (0.003, "in")),
        in_order("C2.bore", "2.0030", "2.0031", "2.0030", "2.0029", gauge="bore-2"),
        in_order("C2.journal", "1.9988", "1.9987", "1.9987", "1.9988", gauge="mic-2"),
    ),
    (Wanted("C2.clearance", "outside", _clearance(2.0030, 2.0031, 2.0030, 2.0029), "in"),),
)
# (2.0017 + 2.0018 + 2.0018 + 2.0018) / 4 - 1.99875 = 0.003025 in: 0.15 of u above 0.003.
CAM_3 = Case(
    "cam bearing bore, journal, clearance, end play",
    "on the limit",
    (
        limit("C3.clearance", (0.002, "in"), (0.003, "in")),
        in_order("C3.bore", "2.0017", "2.0018", "2.0018", "2.0018", gauge="bore-2"),
        in_order("C3.journal", "1.9988", "1.9987", "1.9987", "1.9988", gauge="mic-2"),
    ),
    (
        Wanted(
            "C3.clearance", "too close to call", _clearance(2.0017, 2.0018, 2.0018, 2.0018), "in"
        ),
    ),
)

# --- end play


def _end_play() -> Outcome:
    # (0.0120 + 0.0125 + 0.0120) / 3 - (0.0040 + 0.0040 + 0.0045) / 3 = 0.0365/3 - 0.0125/3 = 0.008
    # in. Each three spread by s = 0.0005 / root 3; the dial's own error cancels.
    tool = Tool(Exact(), 0.0005, 0.0005)
    (forward,) = tool.repeated({"f": (0.0120, 0.0125, 0.0120)}).values()
    (back,) = tool.repeated({"b": (0.0040, 0.0040, 0.0045)}).values()
    by_hand = 0.0005 * sqrt(2 * (1 / 12 + 1 / 9))  # two roundings, two means: 0.00031 in
    assert abs(exact(forward - back).u - by_hand) < 1e-9
    return exact(forward - back)


END_PLAY = Case(
    "cam bearing bore, journal, clearance, end play",
    "three pushes each way",
    (
        limit("CE.end-play", (0.004, "in"), (0.012, "in")),
        in_order("CE.forward", "12.0 thou", "12.5 thou", "0.0120 in", gauge="dial-2"),
        grid("CE.back", {"": "4.0 thou", "#3": "4.5 thou", "#2": ".0040"}, gauge="dial-2"),
    ),
    (Wanted("CE.end-play", "within", _end_play(), "in"),),
)

# TM 5-4210-233-14&P-2, Table c (US Army, public domain): play less (0.244 - t1 - t2), then a washer
# by band. 0.020, 0.120 and 0.121 in give 0.017, the first of its band. Three readings to 0.001 in:
# u = 0.0005 / root 3 x root 3 = 0.0005 in.
WASHERS = (
    Band("standard washer", at_most=Quantity(0.016, "in")),
    Band("washer +0.005", at_least=Quantity(0.017, "in"), at_most=Quantity(0.026, "in")),
    Band("washer +0.010", at_least=Quantity(0.027, "in"), at_most=Quantity(0.036, "in")),
)


def _length(name: str, question: str) -> Act:
    return added("CE", Characteristic(name, "length", question, "in"))


WASHER = Case(
    "cam bearing bore, journal, clearance, end play",
    "worked out and looked up in a manual's table",
    (
        _length("play", "Play, cover on?"),
        _length("t1", "First washer?"),
        _length("t2", "Second washer?"),
        added(
            "CE",
            Characteristic(
                "washer", "computed", "Which washer?", "in", bands=WASHERS,
                formula="CE.play - (0.244 in - CE.t1 - CE.t2)",
            ),
        ),
        typed("CE.play", "0.020"),
        typed("CE.t1", "120 thou"),
        typed("CE.t2", "0.121 in"),
    ),
    (
        Wanted(
            "CE.washer", "no limit", Outcome(0.017, 0.0005, 1e-6), "in", band="washer +0.005"
        ),
    ),
)  # fmt: skip

# --- rear cam plug, from both ends


def ends(world: Exact | Trials) -> tuple[Spread, Spread]:
    # 0.30 BELOW at the rear; 19.00 - 18.25 - 0.50 = 0.25 in by way of the front. No gauge is named.
    bare = Tool(world, 0.01)
    front = bare.reads(19.00) - bare.reads(18.25) - bare.reads(0.50)
    return bare.reads(0.30), front


# 0.05 in apart; four roundings of 0.005 reach 0.02: they do not agree.
REAR = Case(
    "rear cam plug: depth, cup, and from the other end",
    "the two ends do not agree",
    (
        limit("RC.depth", (0.20, "in"), (0.40, "in")),
        typed("RC.cup", "yes"),
        typed("RC.depth", "0.30 BELOW"),
        typed("RC.plug-length", "0.50"),
        typed("RC.from-front", "18.25 in"),
        typed("RC.tunnel", "19.00"),
    ),
    (
        Wanted("RC.cup", "within"),
        Wanted("RC.depth", "within", exact(ends(Exact())[0]), "in"),
        Wanted("RC.from-front", "no limit", exact(Tool(Exact(), 0.01).reads(18.25)), "in"),
        Wanted("RC.depth-by-front", "no limit", exact(ends(Exact())[1]), "in"),
        Wanted("RC.ends-agree", "outside", Outcome(en(*ends(Trials())), 0.0, 0.02)),
    ),
)

# --- oil holes: pictures with known answers (sample_images/answers.toml)


def _seen(key: str, name: str) -> Act:
    """File a picture and mark its rims by hand, with the near hole's size and the wall typed."""

    def act(journey: Journey) -> None:
        hole, photo = HOLES[name], read_photo(SAMPLES / name)
        entry = journey.add_photo(photo, location=key.partition(".")[0], role="close-up")
        assert isinstance(entry.evidence, PhotoTaken)
        placed = with_rims(
            bare_layer(photo), photo, near_points=hole["near_points"],
            far_points=hole["far_points"],
        )  # fmt: skip
        givens = Givens(
            near_diameter=parse_length(f"{hole['near_diameter']:.2f} mm"),
            wall=parse_length(f"{hole['wall']:.2f} mm"),
            bore_diameter=parse_length(f"{hole['bore_diameter']:.1f} mm"),
        )
        journey.coverage(key, entry.evidence.photo, placed.layer, givens, tolerance=0.1)

    return act


def _pin(low_mm: float, high_mm: float) -> Outcome:
    return exact((low_mm + high_mm) / 2 * MM + Exact().uniform((high_mm - low_mm) / 2 * MM))


# The known answer is 21 % covered. The largest pin through two circles is r + R - offset:
# 7.035 / 2 + 10.200 / 2 - 3.054 = 5.56 mm, so that 5.5 passes and 5.6 stops. A 3.2 mm rod must
# pass: one maker's procedure (second hand).
HOLE_1 = Case(
    "cam bearing oil hole against the gallery",
    "little covered; pins in inches",
    (
        limit("C1.oil-hole", at_most=(0.5, "1"), source="builder's own"),
        limit("C1.pin", (3.2, "mm")),
        _seen("C1.oil-hole", "bearing-1.jpg"),
        typed("C1.pin", "5.5 mm passed, 5.6 mm stopped"),
        typed("C1.wire", "yes"),
    ),
    (
        Wanted("C1.oil-hole", "within", truth=HOLES["bearing-1.jpg"]["covered"]),
        Wanted("C1.pin", "within", _pin(5.5, 5.6), "in"),
        Wanted("C1.routes-agree", "within"),
        Wanted("C1.wire", "within"),
    ),
)
# 63.65 % covered; 7.030 / 2 + 7.663 / 2 - 4.064 = 3.28 mm. The limit of 3.25 is the middle of what
# the two pins leave open.
HOLE_2 = Case(
    "cam bearing oil hole against the gallery",
    "much covered; a pin on the limit",
    (
        limit("C2.oil-hole", at_most=(0.5, "1"), source="builder's own"),
        limit("C2.pin", (3.25, "mm")),
        _seen("C2.oil-hole", "bearing-2-found.jpg"),
        typed("C2.pin", "3.3 mm stopped, 3.2 mm passed"),
        typed("C2.wire", "no"),
    ),
    (
        Wanted("C2.oil-hole", "outside", truth=HOLES["bearing-2-found.jpg"]["covered"]),
        Wanted("C2.pin", "too close to call", _pin(3.2, 3.3), "in"),
        Wanted("C2.wire", "outside"),
    ),
)

CAMS = Bench(
    "cams", job("A-3", "US"), ("cam-tunnel",), {"cam": ("1", "2", "3")},
    (CAM_1, CAM_2, CAM_3, END_PLAY, WASHER, REAR, HOLE_1, HOLE_2),
    gauges=(BORE, MIC, DIAL),
)  # fmt: skip
