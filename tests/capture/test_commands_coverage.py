"""benchproof coverage and measure: the JSON other programs lean on, and the truth of it.

Truth: the scenes the sample pictures were rendered from (sample_images/SOURCES.md).
"""

import re
from pathlib import Path
from typing import Any

import pytest

from store.book import Book
from tests.capture.command import FILES, SAMPLES, points, run
from tests.capture.samples import FACE, HOLES
from tests.capture.small_plan import PLAN

KEYS = {
    "covered", "open", "covered_of_near", "covered_of_far", "open_area", "equivalent_diameter",
    "offset", "offset_clock", "largest_pin", "line_of_sight", "parallax", "near", "far",
    "verdict", "budget", "warnings", "trials",
}  # fmt: skip
UNITS = {
    "covered": "1", "open": "1", "covered_of_near": "1", "covered_of_far": "1",
    "open_area": "mm^2", "equivalent_diameter": "mm", "offset": "mm", "offset_clock": "deg",
    "largest_pin": "mm", "line_of_sight": "deg",
}  # fmt: skip
HOLE = HOLES["bearing-1.jpg"]
PHOTO = SAMPLES / "bearing-1.jpg"
BY_HAND = ["--near-points", points(HOLE["near_points"]), "--far-points", points(HOLE["far_points"])]
NEAR = points(HOLE["near_points"])
KNOWN = ["--near-diameter", "7.05 mm +- 0.05 mm", "--wall", "1.4 mm +- 0.1 mm"]


@pytest.fixture(scope="module")
def measured() -> dict[str, Any]:
    done = run("coverage", PHOTO, *BY_HAND, *KNOWN, "--limit", "covered < 60 %", "--json")
    assert done.code == 0
    assert done.err == ""
    return done.answer()


def test_the_answer_has_the_keys_of_the_contract(measured: dict[str, Any]) -> None:
    assert set(measured) == KEYS
    for name, unit in UNITS.items():
        quantity = measured[name]
        assert set(quantity) == {"value", "unit", "u", "low", "high", "level"}
        assert quantity["unit"] == unit
        assert quantity["level"] == 0.95
        assert quantity["low"] <= quantity["value"] <= quantity["high"]
    assert set(measured["parallax"]) == {"dx", "dy", "angle_deg"}
    for outline in (measured["near"], measured["far"]):
        assert set(outline) == {"cx", "cy", "semi_major", "semi_minor", "angle_deg"}
    for line in measured["budget"]:
        assert set(line) == {"source", "points"}


def test_the_interval_holds_the_truth(measured: dict[str, Any]) -> None:
    for name in ("covered", "covered_of_near", "covered_of_far", "open_area", "offset"):
        assert measured[name]["low"] <= HOLE[name] <= measured[name]["high"], name


def test_covered_and_open_are_two_sides_of_one_number(measured: dict[str, Any]) -> None:
    assert measured["covered"]["value"] + measured["open"]["value"] == pytest.approx(1, abs=1e-9)


def test_the_offset_points_where_the_far_hole_is(measured: dict[str, Any]) -> None:
    apart = abs(measured["offset_clock"]["value"] - HOLE["offset_clock_deg"]) % 360
    assert min(apart, 360 - apart) < 10


def test_the_verdict_is_told_with_its_rule(measured: dict[str, Any]) -> None:
    verdict = measured["verdict"]
    assert verdict["probability_within"] > 0.95
    assert verdict == {
        "state": "within",
        "probability_within": verdict["probability_within"],
        "limit": "covered < 60 %",
        "rule": "guarded",
    }


@pytest.mark.parametrize(
    ("limit", "code", "state"),
    [("covered of far <= 40 %", 5, "outside"), ("pin > 3 mm", 0, "within")],
)
def test_the_exit_code_is_the_verdict(limit: str, code: int, state: str) -> None:
    done = run("coverage", PHOTO, *BY_HAND, *KNOWN, "--limit", limit, "--json")
    assert (done.code, done.answer()["verdict"]["state"]) == (code, state)


def test_a_limit_at_the_value_is_too_close_to_call(measured: dict[str, Any]) -> None:
    limit = f"covered < {100 * measured['covered']['value']:.1f} %"
    done = run("coverage", PHOTO, *BY_HAND, *KNOWN, "--limit", limit)
    assert done.code == 4
    assert "verdict  too close to call: covered <" in done.out


def test_without_any_length_fractions_are_given_and_millimetres_say_why() -> None:
    done = run("coverage", PHOTO, *BY_HAND, "--limit", "open area > 3 mm^2", "--json")
    answer = done.answer()
    assert answer["covered"]["value"] is not None
    for name in ("open_area", "equivalent_diameter", "offset", "largest_pin"):
        assert answer[name]["value"] is None
        assert "no length was given" in answer[name]["reason"]
    assert done.code == 3
    assert answer["verdict"]["state"] == "not measured"
    assert "as a round hole of not known" not in run("coverage", PHOTO, *BY_HAND).out


def test_a_person_reads_both_numbers_what_was_assumed_and_the_caution() -> None:
    done = run("coverage", PHOTO, *BY_HAND, "--near-diameter", "7.05", "--limit", "covered < 60 %")
    for words in (
        "covered  ", "open     ", "(95 %: ", "offset   ", "in the picture",
        "off the hole's axis", "move the camera", "verdict  within",
        "near diameter '7.05' has no unit: unit assumed, mm",
        "near diameter has no +-: taken as rounded, +- 0.005 mm (half its last step)",
        "wall thickness not given", "a photo estimate is a screening aid",
    ):  # fmt: skip
        assert words in done.out


def test_one_click_finds_both_rims_and_a_marker_is_a_scale_too() -> None:
    x, y = HOLE["click"]
    side = f"{HOLE['marker_side']} mm"
    done = run("coverage", PHOTO, "--click", f"{x},{y}", "--marker", side, "--json")
    assert done.code == 0
    answer = done.answer()
    for name in ("covered", "offset"):
        assert answer[name]["low"] <= HOLE[name] <= answer[name]["high"], name
    assert answer["verdict"] is None


def test_exit_3_still_answers_with_one_object_that_says_why() -> None:
    cut = FILES / "hostile" / "truncated_jpeg.jpg"
    done = run("coverage", cut, "--click", "5,5", "--limit", "covered < 40 %", "--json")
    assert done.code == 3
    answer = done.answer()
    assert set(answer) == KEYS
    for name in UNITS:
        assert answer[name]["value"] is None
        assert "is cut short" in answer[name]["reason"]
    assert answer["near"] is None
    assert answer["verdict"]["state"] == "not measured"
    assert answer["verdict"]["probability_within"] is None
    assert "is cut short" in done.err


def test_a_click_where_no_hole_is_cannot_be_measured() -> None:
    done = run("coverage", PHOTO, "--click", "20,20", "--json")
    assert done.code == 3
    assert done.answer()["covered"]["value"] is None


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ([], "give --click, a point inside the hole, or both"),
        (["--near-points", "1,1 2,2"], "give --click"),
        (["--near-points", "1,1 2,2", "--click", "800,800"],
         "the near rim needs at least 5 different points and 2 different points are given"),
        (["--near-points", "1,1 1,1 1,1 1,1 1,1", "--click", "800,800"], "1 different point is"),
        (["--far-points", "1,1 2,2 2,2", "--click", "800,800"],
         "the far rim needs at least 3 different points and 2"),
        (["--far-points", "700,600 700.1,600 700,600.1", "--click", "800,800"],
         "the far rim's points lie within 0.14 px of each other"),
        (["--near-points", NEAR, "--far-points", NEAR], "the far points are points of the near"),
        (["--click", "-5,10"], "(-5, 10) lies outside the upright picture"),
        (["--click", "9000,10"], "lies outside the upright picture of 1200 x 1600 pixels"),
        (["--click", "800,800", "--wall", "1.4 furlongs"], "wall '1.4 furlongs'"),
        (["--click", "800,800", "--wall", "0 mm"], "a length of 0"),
        (["--click", "800,800", "--limit", "shaded < 40 %"], "--limit 'shaded < 40 %'"),
        (["--click", "800,800", "--limit", "pin > 3"], "--limit 'pin > 3'"),
        (["--click", "800,800", "--flat", "--bore-diameter", "50 mm"], "not allowed with"),
        (["--click", "800,800", "--focal-35mm", "-3"], "focal"),
        (["--click", "800,800", "--focal-35mm", "4.2"], "type the 35 mm equivalent, as 26"),
        (["--click", "800,800", "--near-diameter", "7.05 mm", "--bore-diameter", "5 mm"],
         "a bore of 5 mm is no larger than the near hole of 7.05 mm"),
        (["--click", "800,800", "--near-diameter", "7.05 mm", "--wall", "140 mm"],
         "a wall of 140 mm with a hole of 7.05 mm in it is too deep"),
        (["--click", "800,800", "--near-diameter", "7 mm +- 8 mm"],
         "near diameter '7 mm +- 8 mm': with a +- as large as itself"),
        (["--click", "800,800", "--marker", "10 mm +- 10 mm"], "with a +- as large as itself"),
        (["--click", "800,800", "--role", "fitting"], "--role 'fitting' is not one of"),
        (["--click", "800,800", "--book", "b"], "--book and --check go together"),
    ],
)  # fmt: skip
def test_a_wrong_option_is_2_and_answers_nothing(options: list[str], told: str) -> None:
    done = run("coverage", PHOTO, *options, "--json")
    assert (done.code, done.out) == (2, "")
    assert told in done.err
    assert done.err.startswith("benchproof: ")
    assert done.err.count("\n") == 1  # no list of options before the sentence


def test_a_lens_that_is_none_is_told_for_what_it_is(tmp_path: Path) -> None:
    latin = tmp_path / "notes.toml"
    latin.write_bytes("[lens] caf\u00e9".encode("latin-1"))
    letter = tmp_path / "letter.pdf"
    letter.write_bytes(b"%PDF-1.7\n\x80")
    for given, told in (
        (tmp_path / "none.toml", "none.toml: check the name and the folder, or make one with"),
        (tmp_path, "is a folder, no lens profile: name the file"),
        (letter, "letter.pdf is a PDF document, no lens profile; make one with: benchproof lens"),
        (PHOTO, "bearing-1.jpg is a JPEG, no lens profile"),
        (latin, "notes.toml is no lens profile, it is no text"),
    ):
        done = run("coverage", PHOTO, *BY_HAND, "--lens", given)
        assert (done.code, done.out) == (3, "")
        assert told in done.err
        assert "codec" not in done.err


def test_a_planned_size_that_no_part_has_is_refused_and_nothing_kept(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN.replace('"7.05 mm +- 0.05 mm"', '"705 mm +- 5 mm"'), encoding="utf-8")
    assert run("start", plan, tmp_path / "book").code == 0
    done = run("coverage", PHOTO, *BY_HAND, "--book", tmp_path / "book", "--check", "C1.covered")
    assert (done.code, done.out) == (2, "")
    assert "a near hole of 705 mm across is too large for a drilled oil hole" in done.err
    assert list((tmp_path / "book" / "photos").rglob("*.*")) == []
    typed = ("--near-diameter", "7.05 mm +- 0.05 mm")
    assert run("coverage", PHOTO, *BY_HAND, "--book", tmp_path / "book", "--check", "C1.covered",
               *typed).code in {0, 4, 5}  # fmt: skip


@pytest.fixture
def book(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN, encoding="utf-8")
    assert run("start", plan, tmp_path / "book").code == 0
    return tmp_path / "book"


@pytest.mark.parametrize(("typed", "told"), [("7.6 mm", True), ("7.08 mm", False)])
def test_a_typed_length_that_is_not_the_plans_is_told(book: Path, typed: str, told: bool) -> None:
    done = run(
        "coverage", PHOTO, *BY_HAND, "--book", book, "--check", "C1.covered",
        "--near-diameter", typed,
    )  # fmt: skip
    assert ("was typed and used; the plan has 7.05 mm" in done.out) is told


def test_with_a_book_photo_marks_and_verdict_are_kept(book: Path) -> None:
    done = run(
        "coverage", PHOTO, *BY_HAND, "--book", book, "--check", "C1.covered", "--json",
        "--wall", "1.4 mm +- 0.1 mm",
    )  # fmt: skip
    assert done.code == 0
    assert done.answer()["verdict"]["limit"] == "covered at most 40 %"
    with Book.open(book, read_only=True) as opened:
        place = opened.round().place("C1")
        (check,) = place.checks
        assert check.state == "within"
        assert check.current is not None
        assert check.current.photo == place.photos[0].taken.photo
        # The near diameter came from the plan, the wall from the command.
        givens = getattr(check.current.record, "givens")  # noqa: B009 - a union of records
        assert givens.near_diameter.value == pytest.approx(7.05)
        assert givens.wall.value == pytest.approx(1.4)
    assert run("verify", book).code == 0


def test_where_nothing_is_measured_the_photo_is_kept_and_no_marks(book: Path) -> None:
    done = run("coverage", PHOTO, "--click", "20,20", "--book", book, "--check", "C1.covered")
    assert done.code == 3
    with Book.open(book, read_only=True) as opened:
        place = opened.round().place("C1")
        assert len(place.photos) == 1
        assert place.checks[0].attempts == ()


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--check", "P1.bore"], "P1.bore is a length, not a coverage"),
        (["--check", "C1.covered", "--limit", "covered < 90 %"], "the limit is the plan's"),
    ],
)
def test_a_book_keeps_to_its_plan(book: Path, options: list[str], told: str) -> None:
    done = run("coverage", PHOTO, *BY_HAND, "--book", book, *options)
    assert (done.code, told in done.err) == (2, True)


def second(book: Path, entry: int, *more: str) -> Any:
    return run(
        "coverage", PHOTO, *BY_HAND, "--book", book, "--check", "C1.covered", "--second",
        str(entry), *more,
    )  # fmt: skip


def test_second_marks_are_blind_and_only_the_check_compares(book: Path) -> None:
    run(
        "coverage", PHOTO, *BY_HAND, "--book", book, "--check", "C1.covered", "--by", "Ann",
    )  # fmt: skip
    with Book.open(book, read_only=True) as opened:
        (check,) = opened.round().place("C1").checks
    assert check.current is not None
    first, value = check.current.stamp.seq, check.value
    same = second(book, first, "--by", "Ann")
    assert (same.code, "another person's, and Ann placed the first" in same.err) == (2, True)
    done = second(book, first, "--by", "Bo")
    assert done.code == 0
    assert "verdict" not in done.out
    assert "En " not in done.out
    assert "kept beside the first marks" in done.out
    with Book.open(book, read_only=True) as opened:
        walked = opened.round()
    (check,) = walked.place("C1").checks
    assert check.value == value  # the first marks still count
    assert len(walked.place("C1").photos) == 1  # the same photo is not filed again
    # The same points twice: no difference, so En is 0 whatever the doubt.
    assert check.seconds[0].en == pytest.approx(0)
    assert "the two agree, En 0.00" in run("check", book, "C1.covered").out
    assert run("verify", book).code == 0


def test_a_verdict_that_second_marks_contradict_says_so(book: Path) -> None:
    words = ["coverage", PHOTO, *BY_HAND, *KNOWN, "--book", book, "--check", "C1.covered"]
    assert run(*words, "--by", "Ann").code == 0
    agreed = run("check", book, "C1.covered").out
    assert "do NOT agree" not in agreed
    with Book.open(book, read_only=True) as opened:
        current = opened.round().check("C1.covered").current
    assert current is not None
    # Bo takes the far rim 40 px farther to the left.
    moved = [f"{float(x) - 40},{y}" for x, y in (p.split(",") for p in BY_HAND[3].split())]
    seen = [*BY_HAND[:3], " ".join(moved), *KNOWN]
    done = run("coverage", PHOTO, *seen, "--book", book, "--check", "C1.covered", "--second",
               str(current.stamp.seq), "--by", "Bo")  # fmt: skip
    assert done.code == 0, done.err
    told = run("check", book, "C1.covered").out.splitlines()
    assert any("a second person's blind marks do NOT agree with these (En" in s for s in told)
    (verdict,) = [line for line in told if line.strip().startswith("verdict")]
    assert "within: " in verdict  # the verdict itself goes by the marks that count
    assert verdict.endswith("do NOT agree, and this verdict goes by the first alone")
    assert "do NOT agree with these" in run("round", book).out
    # Marks made anew are not those that Bo's were second to.
    assert run(*words, "--by", "Ann").code == 0
    assert "do NOT agree with these" not in run("check", book, "C1.covered").out
    assert run("verify", book).code == 0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--second", "1"], "--second belongs to marks in a book"),
        (["--second", "1", "--book", "BOOK", "--check", "C1.covered"], "entry 1 is no marks for"),
        (["--second", "77", "--book", "BOOK", "--check", "C1.covered"], "no entry in this book"),
    ],
)
def test_second_marks_need_first_ones(book: Path, arguments: list[str], told: str) -> None:
    words = [str(book) if word == "BOOK" else word for word in arguments]
    done = run("coverage", PHOTO, *BY_HAND, *words)
    assert (done.code, told in done.err) == (2, True)


def test_second_marks_are_placed_on_the_same_photo(book: Path) -> None:
    run("coverage", PHOTO, *BY_HAND, "--book", book, "--check", "C1.covered", "--by", "Ann")
    with Book.open(book, read_only=True) as opened:
        current = opened.round().check("C1.covered").current
    assert current is not None
    done = run(
        "coverage", SAMPLES / "bearing-3.jpg", *BY_HAND, "--book", book, "--check", "C1.covered",
        "--second", str(current.stamp.seq), "--by", "Bo",
    )  # fmt: skip
    assert (done.code, "is another photo than the first marks are on" in done.err) == (2, True)


def test_a_face_is_measured_and_a_hole_that_is_not_there_keeps_its_place() -> None:
    wanted = [FACE["holes"][n] for n in (0, 3)]
    clicks = [word for x, y, _ in wanted for word in ("--click", f"{x},{y}")]
    board = FACE["chessboard"].replace(" ", "")
    done = run(
        "measure", SAMPLES / FACE["file"], "--chessboard", board, *clicks, "--click", "3,3",
        "--json",
    )  # fmt: skip
    assert done.code == 0
    answer = done.answer()
    *found, missing = answer["holes"]
    for hole, (x, y, true_mm) in zip(found, wanted, strict=True):
        assert hole["click"] == [x, y]
        assert hole["diameter"]["low"] <= true_mm <= hole["diameter"]["high"]
        assert hole["outline"]["semi_major"] >= hole["outline"]["semi_minor"]
    assert (missing["diameter"]["value"], missing["outline"]) == (None, None)
    assert missing["diameter"]["reason"]
    assert [(d["from"], d["to"]) for d in answer["distances"]] == [(0, 1), (0, 2), (1, 2)]
    apart, *unknown = (d["distance"] for d in answer["distances"])
    true_apart = next(mm for a, b, mm in FACE["distances"] if (a, b) == (0, 3))
    assert apart["low"] <= true_apart <= apart["high"]
    for distance in unknown:
        assert distance["value"] is None
        assert distance["reason"].startswith("hole 2: ")


def test_a_face_without_its_target_answers_nothing_but_why() -> None:
    done = run("measure", SAMPLES / FACE["file"], "--marker", "10 mm", "--click", "9,9", "--json")
    assert done.code == 3
    answer = done.answer()
    assert answer["holes"][0]["diameter"] == {
        "value": None,
        "reason": answer["holes"][0]["diameter"]["reason"],
    }
    assert "no printed marker is seen" in done.err


@pytest.mark.parametrize("board", ["7x5", "sevenxfivex5 mm", "7x5x5 furlongs"])
def test_a_board_is_columns_rows_and_square(board: str) -> None:
    done = run("measure", SAMPLES / FACE["file"], "--chessboard", board, "--click", "9,9")
    assert (done.code, done.out) == (2, "")
    assert "--chessboard" in done.err


def test_of_several_photos_the_one_that_cannot_be_measured_is_named() -> None:
    good = ",".join(map(str, HOLES["bearing-1.jpg"]["click"]))
    done = run("coverage", PHOTO, SAMPLES / "bearing-3.jpg", "--click", good, "--click", "20,20")
    assert done.code == 3
    assert "photo 2 (bearing-3.jpg): no closed rim stands out" in done.err


@pytest.mark.parametrize("near", ["1,1 2,2 3,3 4,4 5,5", "601,600 602,600 602,601 601,602 600,601"])
def test_near_points_that_no_hole_has_are_refused_in_a_sentence(near: str) -> None:
    far = points(HOLE["far_points"])
    done = run("coverage", SAMPLES / "bearing-1.jpg", "--near-points", near, "--far-points", far,
               "--near-diameter", "7.05 mm")  # fmt: skip
    assert (done.code, done.out) == (3, "")
    assert "no ellipse fits the near rim" in done.err
    assert "mark it again" in done.err


@pytest.mark.parametrize("far", [["--click", "826,858"], ["--far-outline", "7,7 90,7 90,90"]])
def test_near_points_on_a_line_are_told_whatever_else_is_given(far: list[str]) -> None:
    done = run("coverage", PHOTO, "--near-points", "1,1 2,2 3,3 4,4 5,5 6,6", *far)
    assert (done.code, done.out) == (3, "")
    assert "no ellipse fits the near rim" in done.err


def test_no_number_is_printed_with_an_exponent_or_a_string_of_noughts() -> None:
    words = ["coverage", PHOTO, *BY_HAND, "--near-diameter", "7.05", "--wall", "1.4000 mm"]
    done = run(*words)
    assert "wall has no +-: taken as rounded, +- 0.00005 mm (half its last step)" in done.out
    beside = run("coverage", PHOTO, "--near-points", NEAR, "--far-outline", "9,9 90,9 90,90",
                 "--near-diameter", "7.05 mm", "--focal-35mm", "28")  # fmt: skip
    assert "area     0 mm^2 (95 %: 0 to 0 mm^2) open" in beside.out
    for out in (done.out, beside.out):
        assert not re.search(r"\de-\d|\d\.0{5}", out)


def test_a_photo_whose_bytes_were_damaged_is_told(tmp_path: Path) -> None:
    damaged = bytearray(PHOTO.read_bytes())
    damaged[102_234:102_274] = bytes(range(37, 77))
    (tmp_path / "damaged.jpg").write_bytes(damaged)
    told = "the picture steps in tone along a straight line at x = 400, as that of a damaged file"
    words = [*BY_HAND, "--near-diameter", "7.05 mm", "--json"]
    assert any(told in each for each in
               run("coverage", tmp_path / "damaged.jpg", *words).answer()["warnings"])  # fmt: skip
    refused = run("coverage", tmp_path / "damaged.jpg", "--click", "20,20")
    assert refused.code == 3
    assert "no closed rim" in refused.err
    assert told in refused.err
    whole = run("coverage", PHOTO, *words).answer()["warnings"]
    assert not any("steps in tone" in each for each in whole)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--bore-diameter", "52.0 mm"), ["about 1.1 mm above the metal, at most 2.5 mm"]),
        (("--bore-diameter", "20.0 mm"), ["above the metal", "wider than 1/4 of the bore, 20 mm"]),
        (("--flat",), []),
    ],
)
def test_how_high_a_card_floats_in_a_bore_is_said(words: tuple[str, ...], said: list[str]) -> None:
    x, y = HOLE["click"]
    side = f"{HOLE['marker_side']} mm"
    done = run("coverage", PHOTO, "--click", f"{x},{y}", "--marker", side, *words)
    assert done.code == 0
    notes = [line for line in done.out.splitlines() if "floats" in line or "wider" in line]
    assert len(notes) == len(said)
    for note, each in zip(notes, said, strict=True):
        assert each in note
