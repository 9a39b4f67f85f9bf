"""What is told of holes on a face that show in part only, or two edges for one.

On a sample photo, with one answer of the finder or of the survey put in by hand.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from unittest import mock

import pytest
from msgspec import structs

from annotate.errors import TwoEdges
from annotate.flat_face import face, two_edges
from annotate.flat_face.two_edges import Edges
from annotate.quantity import Quantity
from annotate.result import Known, Unknown
from capture.entry import parse_length
from capture.faces import find_chessboard, measure_face
from capture.intake.photo import Photo, read_photo
from capture.layers import bare_layer
from capture.told_of_faces import Face
from tests.capture.command import SAMPLES, run

PHOTO = SAMPLES / "face-chessboard.jpg"
CLICKS = [(634.0, 468.0), (791.0, 1077.0), (759.0, 863.0)]


@pytest.fixture(scope="module")
def photo() -> Photo:
    return read_photo(PHOTO)


@pytest.fixture(scope="module")
def sure(photo: Photo) -> Face:
    return measured(photo)


def measured(photo: Photo, *, plain: bool = False) -> Face:
    board = find_chessboard(photo, 7, 5, parse_length("5.0 mm"))
    return measure_face(photo, bare_layer(photo), board, CLICKS, plain=plain)


@contextmanager
def one_shows_in_part(number: int) -> Iterator[list[bool]]:
    """Let the hole of this number show on a part only; gives what the finder was told of each."""
    real, told = two_edges.both_edges, list[bool]()

    def found(*given: Any, plain: bool) -> Edges:
        told.append(plain)
        partly = len(told) - 1 == number and not plain
        return structs.replace(real(*given, plain=plain), partly=partly)

    with mock.patch.object(two_edges, "both_edges", found):
        yield told


def test_a_hole_that_shows_in_part_has_its_distances_and_no_diameter(
    photo: Photo, sure: Face
) -> None:
    with one_shows_in_part(1) as told:
        found = measured(photo)
    assert told == [False, False, False]
    assert found.pairs == sure.pairs
    assert found.holes[::2] == sure.holes[::2]
    diameter = found.holes[1].diameter
    assert isinstance(diameter, Unknown)
    assert "light it from all round, or say --plain" in diameter.reason
    assert found.holes[1].outline == sure.holes[1].outline


def test_of_a_chamfer_whose_drilled_edge_hardly_shows_it_is_said_so(photo: Photo) -> None:
    real = two_edges.both_edges

    def found(*given: Any, plain: bool) -> Edges:
        one = real(*given, plain=plain)
        return structs.replace(one, outer=one.drilled, partly=True)

    with mock.patch.object(two_edges, "both_edges", found):
        holes = measured(photo).holes
    for hole in holes:
        assert isinstance(hole.diameter, Unknown)
        assert "drilled edge below its chamfer shows on hardly half" in hole.diameter.reason


@pytest.mark.parametrize(("u", "told"), [(0.12, True), (0.2, False)])
def test_a_length_told_too_vaguely_is_not_told(photo: Photo, u: float, told: bool) -> None:
    real = face.measure_holes

    def vague(*given: Any, **more: Any) -> Any:
        survey = real(*given, **more)
        if len(survey.diameters) < len(CLICKS):  # each hole is tried alone first
            return survey
        far = Quantity(survey.diameters[1].value, "mm", u)
        apart = structs.replace(survey.pairs[2], distance=Quantity(9.0, "mm", u))
        return structs.replace(
            survey,
            diameters=(survey.diameters[0], far, survey.diameters[2]),
            pairs=(*survey.pairs[:2], apart),
        )

    with mock.patch.object(face, "measure_holes", vague):
        found = measured(photo)
    results = [found.holes[1].diameter, found.pairs[2].distance]
    assert [isinstance(one, Known) for one in results] == [told, told]
    if not told:
        reasons = [one.reason for one in results if isinstance(one, Unknown)]
        assert all("0.40 mm either way" in reason for reason in reasons)
    assert isinstance(found.holes[0].diameter, Known)
    assert isinstance(found.pairs[0].distance, Known)


@contextmanager
def all_but_the_first_pair_shown_to(seen_mm: float) -> Iterator[None]:
    real = face.measure_holes

    def vague(*given: Any, **more: Any) -> Any:
        survey = real(*given, **more)
        pairs = [structs.replace(one, seen_mm=seen_mm) for one in survey.pairs[1:]]
        return structs.replace(survey, pairs=(*survey.pairs[:1], *pairs))

    with mock.patch.object(face, "measure_holes", vague):
        yield


# A refused one is never said to be shown as well as one that is told.
@pytest.mark.parametrize(
    ("seen_mm", "told", "said"),
    [(0.3, True, ""), (0.3001, False, "0.31"), (0.31, False, "0.31"), (1.204, False, "1.21")],
)
def test_a_distance_that_the_photo_shows_too_vaguely_is_not_told(
    photo: Photo, sure: Face, seen_mm: float, told: bool, said: str
) -> None:
    with all_but_the_first_pair_shown_to(seen_mm):
        found = measured(photo)
    assert [isinstance(one.distance, Known) for one in found.pairs] == [True, told, told]
    assert found.holes == sure.holes  # a diameter is told on its own grounds
    if not told:
        last = found.pairs[2].distance
        assert isinstance(last, Unknown)
        assert f"to {said} mm either way only; lay a larger target" in last.reason


def test_what_would_show_a_distance_better_is_said_once() -> None:
    clicks = [word for x, y in CLICKS for word in ("--click", f"{x},{y}")]
    words = ["measure", PHOTO, "--chessboard", "7x5x5.0 mm", *clicks]
    with all_but_the_first_pair_shown_to(0.4):
        done, answered = run(*words), run(*words, "--json").answer()
    assert done.code == 0
    lines = done.out.splitlines()
    assert "0 to 2  not known: this photo shows it to 0.40 mm either way only" in lines
    assert [line for line in lines if "larger target" in line] == [
        line for line in lines if line.startswith("note    for a distance shown too vaguely, lay a")
    ]
    assert done.out.count("larger target") == 1
    reasons = [each["distance"].get("reason", "") for each in answered["distances"]]
    assert ["larger target" in each for each in reasons] == [False, True, True]
    assert "too vaguely" not in run(*words).out


def test_of_a_target_typed_coarsely_a_distance_is_told_with_the_interval_that_follows(
    photo: Photo, sure: Face
) -> None:
    board = find_chessboard(photo, 7, 5, Quantity(5.0, "mm", 0.03))
    coarse = measure_face(photo, bare_layer(photo), board, CLICKS)
    for one, before in zip(coarse.pairs, sure.pairs, strict=True):
        assert isinstance(one.distance, Known)
        assert isinstance(before.distance, Known)
        # 0.6 % of it and nothing else, for the photo is the same.
        known = one.distance.quantity
        assert known.u == pytest.approx(0.006 * known.value, rel=0.1)


def test_of_a_face_said_to_be_plain_every_hole_has_its_diameter(photo: Photo, sure: Face) -> None:
    with one_shows_in_part(1) as told:
        found = measured(photo, plain=True)
    assert told == [True, True, True]
    assert found.holes == sure.holes


def test_the_command_takes_and_tells_that_a_face_is_plain() -> None:
    words = ["measure", PHOTO, "--chessboard", "7x5x5.0 mm", "--click", "791,1077"]
    with one_shows_in_part(0):
        done = run(*words)
    assert (done.code, "its edge shows on a part of it only" in done.out) == (3, True)
    with one_shows_in_part(0):
        done = run(*words, "--click", "634,468")
    assert done.code == 0  # a distance is an answer
    with one_shows_in_part(0):
        done = run(*words, "--plain", "--json")
    assert done.code == 0
    assert done.answer()["holes"][0]["diameter"]["value"] == pytest.approx(8.5, abs=0.05)
    assert any("no hole has a chamfer, as typed" in each for each in done.answer()["warnings"])


def test_a_hole_whose_two_edges_show_only_beside_the_others_is_left_out(
    photo: Photo, sure: Face
) -> None:
    real = face.measure_holes

    def torn(scale: Any, edges: Sequence[Edges], **more: int) -> Any:
        if len(edges) == 3:  # alone each may pass
            raise TwoEdges(1)
        return real(scale, edges, **more)

    with mock.patch.object(face, "measure_holes", torn):
        found = measured(photo)
    assert isinstance(found.holes[1].diameter, Unknown)
    assert "too close together" in found.holes[1].diameter.reason
    told = [type(pair.distance) for pair in found.pairs]
    assert told == [Unknown, Known, Unknown]  # 0 to 1, 0 to 2, 1 to 2
    kept, before = found.holes[2].diameter, sure.holes[2].diameter
    assert isinstance(kept, Known)
    assert isinstance(before, Known)
    assert kept.quantity.value == pytest.approx(before.quantity.value, abs=0.05)


def test_what_is_not_found_is_not_to_be_placed_by_hand_for_measure_takes_clicks() -> None:
    done = run("measure", PHOTO, "--chessboard", "7x5x5.0 mm", "--click", "100,100")
    assert done.code == 3
    assert "click inside the opening" in done.out
    assert "by hand" not in done.out


def test_why_a_hole_was_not_measured_is_said_once() -> None:
    clicks = [word for x, y in [(100.0, 100.0), *CLICKS] for word in ("--click", f"{x},{y}")]
    done = run("measure", PHOTO, "--chessboard", "7x5x5.0 mm", *clicks)
    assert done.code == 0
    assert done.out.count("click inside the opening") == 1
    assert done.out.count("not known: see hole 0") == 3
    assert "1 to 2  " in done.out
    told = run("measure", PHOTO, "--chessboard", "7x5x5.0 mm", *clicks, "--json").answer()
    assert "hole 0: no closed rim" in told["distances"][0]["distance"]["reason"]


def test_a_reason_that_several_holes_have_is_said_once() -> None:
    clicks = (CLICKS[0], (100.0, 100.0), (100.0, 130.0))
    words = [word for x, y in clicks for word in ("--click", f"{x},{y}")]
    done = run("measure", PHOTO, "--chessboard", "7x5x5.0 mm", *words)
    lines = done.out.splitlines()
    assert "not known" not in lines[0]
    assert "no closed rim" in lines[1]
    assert lines[2] == "hole 2  diameter not known: as hole 1"
    told = run("measure", PHOTO, "--chessboard", "7x5x5.0 mm", *words, "--json").answer()
    first, second = (hole["diameter"]["reason"] for hole in told["holes"][1:])
    assert first == second
