"""The demo's job, told act by act through ``Journey``, as at the bench.

The pictures of oil holes were rendered from scenes whose dimensions are known; beside each
measured coverage stands the known one. Everything else that is typed here is invented.
"""

from importlib.resources import files
from pathlib import Path

from msgspec.structs import replace

from annotate.quantity import Quantity
from capture.demo.hands import Told, close, coverage, differences, filed, readings
from capture.demo.samples import sample_path
from capture.errors import SlipSuspected
from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.change import KitLineSet, LocationAdded, NeverFitted
from store.characteristic import Characteristic, Limit
from store.plan import Location, Plan

# Invented, as the whole job is: the user's own name must not stand under it.
BUILDER = "R. Ansell"
BENCH = "demo-bench"


def read_demo_plan() -> Plan:
    """Return the plan that is shipped for the demo."""
    return parse_plan(files("capture.plans").joinpath("demo.toml").read_bytes(), "demo.toml")


def fresh_folder(wanted: Path) -> Path:
    """Return the folder, or the first of NAME-2, NAME-3 ... that is not there yet."""
    if not wanted.exists():
        return wanted
    number = 2
    while (folder := wanted.with_name(f"{wanted.name}-{number}")).exists():
        number += 1
    return folder


def walk(journey: Journey, told: Told) -> None:
    """Carry the demo's job from arrival to closed, on a book just begun with its plan."""
    for stage in (
        _arrival, _plugs_out, _galleries, _core_plugs, _gallery_plugs, _oil_holes, _cam_bearing,
        _crankshaft, _bores, _deck, _closing,
    ):  # fmt: skip
        stage(journey, told)


def _arrival(journey: Journey, told: Told) -> None:
    told.act("A1: the block as it came; an overall photo of its left side, a paper, the owner")
    journey.reading("A1.identity", "Tarnwick 41, number legible, front cover missing on arrival")
    overall = filed(journey, "block-left-side.jpg", "A1", "overall", up="up is up")
    for location, x_px, y_px in (
        ("K1", 260, 640), ("K2", 620, 640), ("K3", 980, 640), ("K4", 1340, 640), ("K5", 1400, 260),
        ("G1", 190, 250), ("G2", 1010, 235), ("G3", 620, 210),
    ):  # fmt: skip
        journey.place_on_map(location, overall, x_px, y_px)
    told.outcome("eight locations marked on it: the block map")
    with sample_path("works-sheet.txt") as path:
        journey.add_paper(path, what="the maker's works sheet 41, extract")
    journey.owner_said(
        "told", "one core plug was weeping before", how="by phone, 4 March", who="the owner"
    )
    for key, text in (("leak-start", "212 kPa"), ("leak-end", "210 kPa"), ("leak-time", "15 min")):
        journey.reading(f"A1.{key}", text)
    told.check(journey.round().check("A1.leak"))


def _plugs_out(journey: Journey, told: Told) -> None:
    told.act("every plug is counted out, with its size; the fifth boss was never bored")
    for location in ("K1", "K2", "K3", "K4"):
        journey.take_out(location, size="38.6 mm nominal", words="lip about 2 mm below the face")
    for location in ("G1", "G2", "G3", "C5"):
        journey.take_out(location)
    bare = filed(journey, "boss-without-bore.jpg", "K5", "bare bore")
    journey.change_plan(NeverFitted("K5", bare), "solid boss, no bore under the paint")
    for plug in journey.round().plugs:
        told.outcome(f"{plug.location.id}  {plug.state}")


def _galleries(journey: Journey, told: Told) -> None:
    told.act("galleries: brushed, blown, looked through, logged")
    for location in ("R1", "R2"):
        journey.reading(f"{location}.looked-through", "yes")
    journey.log_debris("R1", how="brushed twice, blown, light from the rear", clean=True)
    journey.log_debris("R2", how="brushed, blown", clean=False, found="grit and a sliver of gasket")
    close(journey, "galleries", told)
    told.act("R2 is cleaned again")
    journey.log_debris("R2", how="brushed with solvent, dried, blown", clean=True, found="nothing")
    close(journey, "galleries", told)


def _core_plugs(journey: Journey, told: Told) -> None:
    told.act("core plugs: the kit is counted, bores and plugs are measured before the hammer")
    journey.count_kit("core-kit", 4)
    journey.count_kit("gallery-kit", 3)
    for core, bores in (
        ("1", ("38.514 mm", "38.522 mm")), ("2", ("38.506 mm", "38.511 mm")),
        ("3", ("38.519 mm", "38.512 mm")), ("4", ("38.509 mm", "38.516 mm")),
    ):  # fmt: skip
        readings(journey, f"K{core}.bore", bores)
    readings(journey, "K1.plug", ("39.322 mm", "39.318 mm", "39.325 mm", "39.320 mm"))
    told.check(journey.round().check("K1.press"))
    for hint in journey.fit_hints("K1.plug"):
        told.outcome(hint)
    told.act("that one is the wrong size: a second bag is bought, another piece taken")
    journey.fit("core-1", "first bag, no. 1", words="tried, not driven")
    line = next(line for line in journey.plan.kit if line.id == "core-kit")
    journey.change_plan(KitLineSet(replace(line, count=5)), "one more bought, one was wrong")
    journey.count_kit("core-kit", 5, words="four, one of them wrong, and the new one")
    journey.fit("core-1", "second bag, no. 1")
    readings(journey, "K1.plug", ("38.636 mm", "38.631 mm", "38.634 mm", "38.633 mm"))
    told.check(journey.round().check("K1.press"))
    for core, size in (("2", "38.628"), ("3", "38.640"), ("4", "38.631")):
        journey.fit(f"core-{core}", f"first bag, no. {core}")
        readings(journey, f"K{core}.plug", (f"{size} mm",) * 4)
    for core, lips in (
        ("1", ("1.72", "1.81", "1.76")), ("2", ("1.66", "1.70", "1.71")),
        ("3", ("1.90", "1.83", "1.86")), ("4", ("1.75", "1.75", "1.82")),
    ):  # fmt: skip
        readings(journey, f"K{core}.lip", tuple(f"{lip} mm BELOW" for lip in lips))
    told.check(journey.round().check("K1.cocked"))


def _gallery_plugs(journey: Journey, told: Told) -> None:
    for part in ("gallery-1", "gallery-2", "gallery-3", "rear-plug"):
        journey.fit(part, "from the kit" if part != "rear-plug" else "steel cup, new")
    told.act('G1: depth of the plug, typed "19/64 in BELOW" off a rule')
    wrong = journey.reading("G1.depth-face", "19/64 in BELOW")
    told.check(wrong)
    told.act('that was misread: struck, stays legible, typed again as "23/64 in BELOW"')
    if wrong.current:
        journey.strike(wrong.current.stamp.entry, "read from the wrong end of the rule")
    told.check(journey.reading("G1.depth-face", "23/64 in BELOW"))
    told.act('G1: the same depth from a second datum, "9.17 mm BELOW", and room to the passage')
    journey.reading("G1.depth-pad", "9.17 mm BELOW")
    told.check(journey.round().check("G1.datums-agree"))
    journey.reading("G1.plug-length", "27.415 mm")
    journey.reading("G1.passage", "38.20 mm BELOW")
    told.check(journey.round().check("G1.margin"))
    _suspect_gauge(journey, told)
    journey.reading("G3.sealant", "3/8 tapered thread, sealant batch 7731-C")
    journey.reading("G3.turns", "1.75 turns")
    journey.reading("C5.cup", "yes")
    journey.reading("C5.depth-rear", "3.42 mm BELOW")


def _suspect_gauge(journey: Journey, told: Told) -> None:
    told.act("G2: two datums, two depth micrometers")
    journey.reading("G2.depth-face", "7.12 mm BELOW")
    journey.reading("G2.depth-pad", "6.94 mm BELOW")
    told.check(journey.round().check("G2.datums-agree"))
    told.act("they disagree: depth-b turns out to have a bent base")
    journey.suspect_gauge("depth-b", since="2026-06-02", reason="base bent, rocks on a flat")
    for gauge in journey.round().gauges:
        if gauge.suspect:
            told.outcome(f"{gauge.gauge.id} is suspect, {len(gauge.touched)} entries rest on it")
    told.act("G2: the face is read again with depth-a")
    told.check(journey.reading("G2.depth-face", "6.94 mm BELOW", gauge="depth-a"))
    told.check(journey.round().check("G2.datums-agree"))


def _oil_holes(journey: Journey, told: Told) -> None:
    told.act("B1: photo of the oil hole, one click in it")
    coverage(journey, "B1.covered", "bearing-1.jpg", told)
    told.act("B2: the same; wall and bore are not known here")
    coverage(journey, "B2.covered", "bearing-2-found.jpg", told)
    told.act("B3: the rims placed by hand, point by point")
    coverage(journey, "B3.covered", "bearing-3.jpg", told, by_hand=True)
    journey.reading("B4.wire", "yes")


def _cam_bearing(journey: Journey, told: Told) -> None:
    told.act("J1: journal with a mic, the bore gauge zeroed on it, dial read with its direction")
    journey.reading("J1.journal", "48.012 mm")
    differences(journey, "J1.bore", "J1.journal", ("0.071 mm bigger", "0.075 mm bigger"))
    told.check(journey.round().check("J1.clearance"))
    close(journey, "camshaft", told)
    told.act("B2 is turned and driven again: a new attempt")
    journey.rework("B2", what="bearing driven out, turned and driven again")
    coverage(journey, "B2.covered", "bearing-2-turned.jpg", told)
    told.act("B3 stays too close to call, so pins are tried")
    told.check(journey.reading("B3.pin", "4.0 mm passed, 4.5 mm stopped"))
    told.check(journey.round().check("B3.photo-and-pin"))
    told.act("B3: the builder decides in writing, the verdict stays what it is")
    journey.owner_said(
        "agreed", "bearing 3 stays as it is, the pin passes", how="by phone, confirmed by letter"
    )
    journey.waive(
        "camshaft",
        "B3.covered",
        reason="too close to call on the photo, and the 4.0 mm pin passes",
        decided_by=f"{BUILDER}, builder",
        owner_agreed="by phone, confirmed by letter",
    )
    told.outcome("waived, with reason, name and how the owner agreed")
    close(journey, "camshaft", told)


def _crankshaft(journey: Journey, told: Told) -> None:
    told.act("M1 to M3: journals as found; M2 is typed one turn of the thimble off")
    journey.fit("crankshaft", "the engine's own, stamped 20377")
    readings(journey, "M1.journal", ("61.934 mm", "61.931 mm", "61.936 mm", "61.933 mm"))
    readings(journey, "M2.journal", ("61.938 mm", "61.935 mm", "61.937 mm"))
    try:
        journey.reading("M2.journal", "61.434 mm")
    except SlipSuspected as asked:
        for question in asked.suspected:
            told.outcome(f"asked: {question}")
        journey.withdraw(asked, "looked again at the sleeve")
        told.outcome("looked again, and typed as it is")
    journey.reading("M2.journal", "61.934 mm")
    readings(journey, "M3.journal", ("61.929 mm", "61.925 mm", "61.930 mm", "61.927 mm"))
    told.check(journey.round().check("M2.journal"))
    for main, dials in (
        ("M1", ("0.055", "0.058", "0.057")), ("M2", ("0.049", "0.052", "0.050")),
        ("M3", ("0.108", "0.112", "0.111")),
    ):  # fmt: skip
        differences(
            journey, f"{main}.shell", f"{main}.journal", tuple(f"{d} mm bigger" for d in dials)
        )
    told.check(journey.round().check("M3.clearance"))
    told.act("M3 is too loose: that stays on record, other shells go in, measured again")
    journey.rework("M3.shell", what="shells 0.05 mm thicker fitted")
    differences(
        journey, "M3.shell", "M3.journal", ("0.061 mm bigger", "0.064 mm bigger", "0.063 mm bigger")
    )
    told.check(journey.round().check("M3.clearance"))
    close(journey, "crankshaft", told)
    readings(journey, "T1.front", ("0.0085 in", "0.0080 in", "0.0085 in"))
    told.check(journey.reading("T1.end-float", "0.0085 in"))
    told.check(journey.round().check("T1.ends-agree"))
    journey.reading("W1.caps", "55 lbf.in", read_at="on paper, before the pistons")


def _bores(journey: Journey, told: Told) -> None:
    told.act("Z1 to Z4: bores by differences from a setting ring, pistons, rings")
    for cylinder, dials, skirt, gap in (
        ("1", (14, 17, 12, 15, 9, 11), "81.936", "0.38"),
        ("2", (12, 15, 12, 13, 10, 10), "81.934", "0.36"),
        ("3", (15, 19, 13, 16, 9, 12), "81.937", "0.41"),
        ("4", (13, 14, 11, 12, 10, 11), "81.935", "0.37"),
    ):
        texts = tuple(f"0.{dial:03} mm bigger" for dial in dials)
        differences(journey, f"Z{cylinder}.bore", "82.000 mm +- 0.002 mm", texts)
        journey.reading(f"Z{cylinder}.skirt", f"{skirt} mm")
        told.check(journey.round().check(f"Z{cylinder}.clearance"))
        journey.reading(f"Z{cylinder}.gap", f"{gap} mm")
    close(journey, "pistons", told)
    journey.reading("W1.pistons", "205 lbf.in")
    told.check(journey.round().check("W1.rise"))


def _deck(journey: Journey, told: Told) -> None:
    told.act("D2: the deck, six lines; one is too much, so it is ground, and read again")
    readings(journey, "D1.bridge", ("0.0140 in", "0.0145 in"))
    lines = ("0.04 mm", "0.05 mm", "0.04 mm", "0.12 mm", "0.06 mm", "0.05 mm")
    told.check(readings(journey, "D2.flat", lines))
    journey.rework("D2", "D1", what="deck ground at the machine shop")
    told.check(readings(journey, "D2.flat", ("0.02 mm", "0.03 mm", "0.02 mm") * 2))
    told.check(readings(journey, "D1.bridge", ("0.0115 in", "0.0120 in")))
    told.act("a location the plan lacked is added at the bench: rod side clearance")
    limit = Limit(
        source="builder's own", at_least=Quantity(0.10, "mm"), at_most=Quantity(0.32, "mm")
    )
    side = Characteristic("side", "length", "Rod side clearance, pair 1?", "mm", limit,
                          gauge="feeler-a")  # fmt: skip
    journey.change_plan(
        LocationAdded(Location("S1", "Connecting rods, first pair", (side,)), after="W1"),
        "the maker asks for it, the plan had left it out",
    )
    told.check(journey.reading("S1.side", "0.21 mm"))


def _closing(journey: Journey, told: Told) -> None:
    told.act("bolts, priming, and the covers in their order")
    journey.reading("F1.free", "96.412 mm")
    journey.reading("F1.stretched", "96.541 mm")
    told.check(journey.round().check("F1.stretch"))
    told.check(journey.reading("F1.torque", "96 N.m"))
    journey.reading("P1.oil", "yes")
    journey.reading("P1.pressure", "32 psi")
    for hold in ("head", "front-cover", "sump", "side"):
        close(journey, hold, told)
    filed(journey, "front-cover-on.jpg", "front-cover", "what closes it")
    told.outcome("the photo of the front cover seals it")
