"""``measure --behind``: what it takes, what it says, and that it puts a rendered photo right."""

import dataclasses
from pathlib import Path

import pytest

from capture.commands.typed_options import typed_offset
from capture.errors import WrongUse
from tests.capture.command import SAMPLES, Done, run
from tests.rendered.face_picture import face_answer, make_face
from tests.rendered.faces import face_scene

CLICKS = ["--click", "634,468", "--click", "791,1077"]


def measured(*words: str) -> Done:
    return run("measure", SAMPLES / "face-chessboard.jpg", "--chessboard", "7x5x5.0 mm", *CLICKS,
               *words)  # fmt: skip


def test_without_it_one_line_says_what_each_millimetre_would_make() -> None:
    done = measured()
    told = [line for line in done.out.splitlines() if "--behind" in line]
    assert len(told) == 1
    assert told[0].startswith(
        "note    the holes' edges are taken to lie in the target's plane, 178"
    )
    assert "each millimetre that they lie behind it makes them look 0.56 % smaller" in told[0]
    answer = measured("--json").answer()
    assert told[0].removeprefix("note    ") in answer["warnings"]
    assert answer["behind"]["typed"] is None
    assert answer["behind"]["seen_smaller_percent"] == 0
    assert answer["behind"]["percent_per_mm"] == pytest.approx(0.56, abs=0.01)
    assert answer["behind"]["camera_height"]["unit"] == "mm"


def test_it_says_how_many_per_cent_of_what_height_and_puts_them_right() -> None:
    flat, done = measured("--json").answer(), measured("--behind", "3 mm +- 0.5 mm")
    first = "edges 3.0 mm behind the target at 178 mm (95 %: 172 to 183 mm) from the camera"
    assert f"note    {first}: seen 1.7 % smaller; put right" in done.out
    assert "--behind has no +-" not in done.out
    answer = measured("--behind", "3 mm +- 0.5 mm", "--json").answer()
    assert answer["behind"]["typed"]["value"] == 3
    assert answer["behind"]["seen_smaller_percent"] == pytest.approx(1.66, abs=0.03)
    height = answer["behind"]["camera_height"]["value"]
    # A print lying on the face is taken to be 0.1 mm thick.
    times = (height + 3) / (height + 0.1)
    for one, before in zip(answer["holes"], flat["holes"], strict=True):
        assert one["diameter"]["value"] == pytest.approx(
            before["diameter"]["value"] * times, rel=1e-3
        )
        assert one["diameter"]["u"] > before["diameter"]["u"]


def test_before_the_target_is_a_minus_and_what_was_not_typed_is_said() -> None:
    done = measured("--behind", "-2 mm")
    assert "2.0 mm in front of the target" in done.out
    assert "seen 1.1 % larger" in done.out
    assert "--behind has no +-: taken as rounded, +- 0.5 mm" in done.out
    assert "edges in the plane of the target at 178 mm" in measured("--behind", "0.0 mm").out


@pytest.mark.parametrize(
    ("text", "value"),
    [("3 mm", 3.0), ("-3 mm", -3.0), ("\N{MINUS SIGN}1.5 mm +- 0.1 mm", -1.5), ("+2 mm", 2.0),
     ("0 mm", 0.0), (" - 1/8 in", -3.175)],
)  # fmt: skip
def test_an_offset_may_have_a_sign(text: str, value: float) -> None:
    offset, _ = typed_offset(text, "--behind")
    assert (offset.value, offset.unit) == (pytest.approx(value), "mm")
    assert offset.u > 0


@pytest.mark.parametrize("text", ["", "-", "--3 mm", "three", "-3 kPa", "3 mm 4 mm"])
def test_what_is_no_offset_is_refused_by_the_options_name(text: str) -> None:
    with pytest.raises(WrongUse, match="--behind"):
        typed_offset(text, "--behind")


@pytest.mark.parametrize(("typed", "where"), [("40 cm", "behind"), ("-3.5 in", "in front of")])
def test_nonsense_is_refused_in_a_sentence(typed: str, where: str) -> None:
    done = measured("--behind", typed)
    assert (done.code, done.out) == (3, "")
    assert f"mm {where} the target, which is itself only about 177 mm from the camera" in done.err


def test_what_is_told_too_vaguely_for_it_says_that_it_is_for_it() -> None:
    done = measured("--behind", "30 mm +- 25 mm")
    assert done.code == 3
    assert done.out.count("mostly for how far the edges lie behind the target") >= 1
    assert "tell --behind more finely" in done.out
    assert "light from all round" not in done.out


def test_the_answer_has_its_keys_with_and_without_a_number() -> None:
    for done in (measured("--json"), measured("--behind", "40 cm", "--json")):
        answer = done.answer()
        assert set(answer) == {"holes", "distances", "behind", "warnings"}
        assert set(answer["holes"][0]) == {"click", "diameter", "outline", "same_as"}
        keys = {"typed", "camera_height", "seen_smaller_percent", "percent_per_mm"}
        assert set(answer["behind"]) == keys
    assert answer["behind"]["typed"]["value"] == pytest.approx(400.0)
    assert answer["behind"]["camera_height"] is None
    assert answer["behind"]["seen_smaller_percent"] is None


@pytest.mark.parametrize("height", [4.0])
def test_a_rendered_face_under_a_target_that_stands_off_it_comes_out_true(
    height: float, tmp_path: Path
) -> None:
    scene = next(
        one for one in map(face_scene, range(60))
        if one.known["type"] == "aruco" and one.light == "ring" and one.post["has_exif"]
        and sum(hole.chamfer < 0.1 for hole in one.plate.holes) >= 3
    )  # fmt: skip
    target = dataclasses.replace(scene.plate.target, height=height)
    raised = dataclasses.replace(scene, plate=dataclasses.replace(scene.plate, target=target))
    make_face(raised, tmp_path)
    truth = face_answer(raised)["truth"]
    clicks = [w for hole in truth["holes"] for w in ("--click", "{},{}".format(*hole["click"]))]
    words = ["measure", tmp_path / f"{raised.name}.jpg", "--marker",
             f"{raised.known['side_mm']} mm +- 0.01 mm", *clicks, "--json"]  # fmt: skip
    true = [hole["drill_diameter_mm"] for hole in truth["holes"]]
    true += [each["mm"] for each in truth["distances"]]
    right = lengths(run(*words, "--behind", f"{height} mm +- 0.05 mm"))
    flat = lengths(run(*words))
    told = [n for n, one in enumerate(right) if one["value"] is not None and flat[n]["value"]]
    assert len(told) >= 3
    off = [right[n]["value"] / true[n] - 1 for n in told]
    before = [flat[n]["value"] / true[n] - 1 for n in told]
    assert all(right[n]["low"] <= true[n] <= right[n]["high"] for n in told)
    assert max(map(abs, off)) < 0.01
    # The camera is 130 to 240 mm away: all lengths on the face came out too small by so much.
    assert sum(before) / len(before) < -0.012 < sum(off) / len(off)


def lengths(done: Done) -> list[dict[str, float]]:
    answer = done.answer()
    return [each["diameter"] for each in answer["holes"]] + [
        each["distance"] for each in answer["distances"]
    ]
