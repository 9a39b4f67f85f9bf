"""Rows that are shown by acts, not by numbers: arrival, plugs counted, galleries, priming.

And a few of the numbers as they stand on the terminal, rounded here by hand.
"""

import re
from itertools import count
from pathlib import Path

import pytest

from capture.intake.photo import read_photo
from capture.journey import Journey
from capture.plans.combination import combine
from capture.plans.fragment import read_library
from capture.verifying import verify_book
from store.change import LimitSet
from store.errors import BadAct, NotProven
from tests.capture.command import SAMPLES, run
from tests.journey.rows.case import gauge, in_order, job, limit, registered, typed

PICTURE = read_photo(SAMPLES / "block-left-side.jpg")


def begun(folder: Path, name: str, **each: tuple[str, ...]) -> Journey:
    hours = count()
    return Journey.start(
        combine(job("A-7"), [read_library(name)], each=each), folder / "book", bench="bench-1",
        user="Ann", version="1", clock=lambda: f"2026-11-24T{next(hours) // 60 % 24:02d}:00:00Z",
    )  # fmt: skip


def sound(folder: Path) -> bool:
    return all(f.severity == "note" for f in verify_book(folder / "book", version="1"))


def unproven(journey: Journey, hold: str) -> set[str]:
    with pytest.raises(NotProven):
        journey.close(hold)
    return {key for key, _ in journey.round().hold(hold).refusals[-1].unproven}


def test_arrival_is_hidden_by_paint_only_when_it_is_told_and_photographed(tmp_path: Path) -> None:
    with begun(tmp_path, "arrival") as journey:
        leak = {"L1.at-start", "L1.held", "L1.at-end", "L1.drop", "L1.dry"}
        told = {"A1.identity", "A1.state", "A1.photographed", "A1.owner"}
        assert unproven(journey, "paint") == leak | told | {"A1", "L1"}
        for key in sorted(told):
            journey.reading(key, "yes" if key in {"A1.photographed", "A1.owner"} else "T41-2207")
        for location in ("A1", "L1"):
            journey.add_photo(PICTURE, location=location, role="overall")
        assert unproven(journey, "paint") == leak
        journey.waive("paint", "L1.dry", reason="no plates", decided_by="Ann", owner_agreed="phone")
        for key, text in (("at-start", "280 kPa"), ("held", "20 min"), ("at-end", "279 kPa")):
            journey.reading(f"L1.{key}", text)
        # a figure that was asked for and not given proves nothing
        assert unproven(journey, "paint") == leak - {"L1.at-end", "L1.dry"}
        for key in ("L1.at-start", "L1.held", "L1.drop"):
            journey.change_plan(LimitSet(key, None), "the maker gives no figure")
        journey.close("paint")
        with pytest.raises(BadAct, match="lies behind paint"):
            journey.reading("A1.state", "painted over")
    assert sound(tmp_path)


def test_plugs_are_counted_out_and_in_and_one_left_over_is_seen(tmp_path: Path) -> None:
    lists = {"front_plug": ("1",), "rear_plug": ("3",), "core": ("1", "2"), "threaded": ("1",)}
    with begun(tmp_path, "plugs-and-galleries", gallery=("main",), **lists) as journey:
        for plug in ("K1", "K2"):
            journey.take_out(plug, size="36 mm cup", words="9.4 BELOW")
        open_ = {place.location.id for place in journey.round().plugs if place.fitted is None}
        assert open_ == {"G1", "G3", "K1", "K2", "H1"}
        never = "plugs neither counted out nor in: G1, G3, H1"
        journey.fit("plug-K1", "bag 7, first")
        assert journey.round().counts_open == ("plugs out and not in again: K2", never)
        journey.fit("plug-K2", "bag 7, second")
        assert journey.round().counts_open == (never,)
        assert {p.location.id for p in journey.round().plugs if p.fitted} == {"K1", "K2"}
        assert {p.location.id: set(p.alike) for p in journey.round().plugs}["K1"] == {"K2"}
        with pytest.raises(BadAct, match="has no plug by the plan"):
            journey.take_out("KB1")
    assert sound(tmp_path)


def test_a_gallery_is_closed_only_when_it_is_logged_clean(tmp_path: Path) -> None:
    lists = {"front_plug": ("1",), "rear_plug": ("3",), "core": ("1",), "threaded": ("1",)}
    with begun(tmp_path, "plugs-and-galleries", gallery=("main",), **lists) as journey:
        for key in ("brushed", "blown", "seen-through"):
            journey.reading(f"Q-main.{key}", "yes")
        for location in ("Q-main", "GB1", "GB3"):
            journey.add_photo(PICTURE, location=location, role="bare bore")
        assert "Q-main" in unproven(journey, "gallery-plugs")
        journey.log_debris("Q-main", how="blown", clean=False, found="two chips")
        assert "Q-main" in unproven(journey, "gallery-plugs")
        journey.log_debris("Q-main", how="brushed, blown, looked through", clean=True)
        assert "Q-main" not in unproven(journey, "gallery-plugs")
        with pytest.raises(BadAct, match="is no gallery by the plan"):
            journey.log_debris("GB1", how="blown", clean=True)
    assert sound(tmp_path)


def test_a_dry_oil_point_keeps_the_sump_off_until_it_is_done_again(tmp_path: Path) -> None:
    with begun(tmp_path, "deck-and-closing", cyl=("1",), oil_point=("main-1", "drive")) as journey:
        limit("PR.pressure", (270.0, "kPa"))(journey)
        journey.reading("PR.pressure", "45 psi")
        journey.reading("PR.oil", "mineral 30, batch 8-114")
        journey.reading("O-main-1.oil-seen", "yes")
        journey.reading("O-drive.oil-seen", "no")
        assert unproven(journey, "sump") == {"O-drive.oil-seen"}
        journey.rework("O-drive", what="passage cleared")
        assert unproven(journey, "sump") == {"O-drive.oil-seen"}
        journey.reading("O-drive.oil-seen", "yes")
        journey.close("sump")
        assert [a.answer for a in journey.round().check("O-drive.oil-seen").attempts] == [
            False, True,
        ]  # fmt: skip
        assert journey.round().hold("sump").unsealed
        journey.add_photo(PICTURE, location="sump", role="what closes it")
        assert not journey.round().hold("sump").unsealed
    assert sound(tmp_path)


@pytest.fixture(scope="module")
def crank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("terminal")
    with begun(folder, "mains-and-crank", main=("1",)) as journey:
        for tool in (
            gauge("mic-100", "outside micrometer", (0.001, "mm"), (0.005, "mm")),
            gauge("bore-d", "bore gauge", (0.001, "mm"), (0.002, "mm"), difference=True),
        ):
            registered(tool)(journey)
        limit("MB1.clearance", (0.030, "mm"), (0.107, "mm"))(journey)
        in_order("MB1.journal", *["95.214"] * 4, gauge="mic-100")(journey)
        for text in ("0.068 mm bigger", "0.069 mm bigger", "0.070 mm bigger"):
            typed("MB1.bore", text, gauge="bore-d", zero="MB1.journal")(journey)
        typed("MB1.strip", "0.051 to 0.076 mm")(journey)
    return folder / "book"


def test_the_terminal_tells_a_clearance_and_its_verdict(crank: Path) -> None:
    told = run("check", crank, "MB1.clearance")
    # (0.068 + 0.069 + 0.070) / 3 = 0.069; u = root((0.002^2 + 0.0005^2 / 3) / 3) = 0.00117 mm, and
    # 1.96 times that either way is 0.0023
    assert "stands   within, 0.069 mm" in told.out
    assert "95 %: 0.067 to 0.071 mm" in told.out
    assert "at least 0.03 mm and at most 0.107 mm" in told.out


def test_the_terminal_tells_what_a_clearance_is_uncertain_by(crank: Path) -> None:
    told = run("budget", crank, "MB1.clearance")
    lines = told.out.splitlines()
    # 0.002 / root 3 = 0.0012 mm, 98 % of the squares: 4 / (4 + 0.25 / 3); a third each of three
    # roundings of 0.0005: 3 x 0.00017 / root 3 = 0.000096
    assert re.search(
        r"error of bore-d +0\.0020 mm +rectangular +0\.0012 mm +infinite +98 %", lines[2]
    )
    assert re.search(
        r"resolution of bore-d +3 x 0\.00017 mm .* 3 x 0\.000096 mm +infinite +2 %", lines[3]
    )
    # the micrometer that the gauge was zeroed with is in both, and leaves not even dust: no line of
    # the table is of it, and it is said why
    [why] = [line for line in lines if "mic-100" in line]
    assert "is taken as one for all its readings and cancels" in why
    assert "combined standard uncertainty u = 0.0012 mm" in told.out


def test_the_terminal_tells_whether_two_ways_agree(crank: Path) -> None:
    told = run("check", crank, "MB1.routes-agree")
    # 0.069 - 0.0635 = 0.0055; the strip's rectangle of 0.0125 holds 95 % within 0.0119, with the
    # gauge a little more: En 0.45 or 0.46
    found = re.search(r"stands   within, En (0\.\d\d)", told.out)
    assert found
    assert 0.44 <= float(found[1]) <= 0.47
    assert "within: En at most 1, " in told.out
    assert "covered" not in told.out
