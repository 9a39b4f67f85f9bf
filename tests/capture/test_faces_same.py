"""Two clicks into one hole: it is measured once, and no distance is told between it and itself."""

from typing import Any

import pytest

from annotate.errors import TwoEdges
from annotate.flat_face import face
from annotate.result import Known, Unknown
from capture.entry import parse_length
from capture.faces import find_chessboard, measure_face
from capture.intake.photo import read_photo
from capture.layers import bare_layer
from capture.told_of_faces import Face
from tests.capture.command import SAMPLES, run

PHOTO = SAMPLES / "face-chessboard.jpg"
ONE, AGAIN, OTHER = (634.0, 468.0), (638.0, 462.0), (791.0, 1077.0)


def measured(*clicks: tuple[float, float]) -> Face:
    photo = read_photo(PHOTO)
    board = find_chessboard(photo, 7, 5, parse_length("5.0 mm"))
    return measure_face(photo, bare_layer(photo), board, clicks)


def said(*clicks: tuple[float, float]) -> list[str]:
    words = [word for x, y in clicks for word in ("--click", f"{x},{y}")]
    return run("measure", PHOTO, "--chessboard", "7x5x5.0 mm", *words).out.splitlines()


def test_a_hole_clicked_twice_counts_once_and_has_no_distance_from_itself(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    real, surveyed = face.measure_holes, list[int]()

    def counted(scale: Any, edges: Any, **more: Any) -> Any:
        surveyed.append(len(edges))
        return real(scale, edges, **more)

    once = measured(ONE, OTHER)
    monkeypatch.setattr(face, "measure_holes", counted)
    twice = measured(OTHER, ONE, AGAIN)
    assert surveyed[-1] == 2
    assert [hole.same_as for hole in twice.holes] == [None, None, 1]
    assert twice.holes[2].diameter == twice.holes[1].diameter
    first, second, itself = (pair.distance for pair in twice.pairs)
    assert isinstance(itself, Unknown)
    assert itself.reason == "clicks 1 and 2 are in the same hole"
    assert first == second
    assert isinstance(first, Known)
    before = once.pairs[0].distance
    assert isinstance(before, Known)
    assert first.quantity.value == pytest.approx(before.quantity.value, rel=1e-3)


def test_it_is_said_which_two_clicks_are_in_one_hole() -> None:
    lines = said(ONE, OTHER, AGAIN)
    assert lines[2] == "hole 2  diameter as hole 0: clicks 0 and 2 are in the same hole"
    assert "0 to 2  not known: clicks 0 and 2 are in the same hole" in lines
    words = [word for x, y in (ONE, AGAIN) for word in ("--click", f"{x},{y}")]
    told = run("measure", PHOTO, "--chessboard", "7x5x5.0 mm", *words, "--json").answer()
    assert [hole["same_as"] for hole in told["holes"]] == [None, 0]
    assert told["distances"][0]["distance"]["value"] is None


def test_two_clicks_into_a_hole_that_is_refused_are_both_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    real = face.measure_holes

    def torn(scale: Any, edges: Any, **more: Any) -> Any:
        if len(edges) == 2:
            raise TwoEdges(0)
        return real(scale, edges, **more)

    monkeypatch.setattr(face, "measure_holes", torn)
    found = measured(ONE, OTHER, AGAIN)
    assert [type(hole.diameter) for hole in found.holes] == [Unknown, Known, Unknown]
    assert all(isinstance(pair.distance, Unknown) for pair in found.pairs)
