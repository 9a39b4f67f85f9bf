"""The scale card on the command line: printed, measured, and its markers' true sizes used."""

import re
from math import sqrt
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.testing import assert_allclose
from PIL import Image

from annotate.own_targets import cells
from annotate.quantity import Quantity
from capture.commands.typed_options import typed_length
from capture.intake.photo import read_photo
from capture.layers import find_marker
from capture.print_scale import print_scale
from tests.capture.command import run


def mm(value: float, u: float = 0.0) -> Quantity:
    return Quantity(value, "mm", u)


def photo_of(folder: Path, *markers: tuple[str, int]) -> Path:
    """Return the file of a grey picture with markers of 100 px side by side."""
    page = np.full((300, 100 + 200 * len(markers), 3), 225, dtype=np.uint8)
    for k, (dictionary, identifier) in enumerate(markers):
        bits = np.array([[c == "1" for c in row] for row in cells(dictionary, identifier)])  # type: ignore[arg-type]
        square = cv2.resize(np.where(bits, 225, 20).astype(np.uint8), (100, 100), interpolation=0)
        page[100:200, 100 + 200 * k : 200 + 200 * k] = square[:, :, None]
    Image.fromarray(cv2.GaussianBlur(page, (0, 0), 0.8)).save(folder / "seen.png")
    return folder / "seen.png"


def test_a_card_is_written_and_says_how_it_goes_on(tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    done = run("card", "-o", out, "--paper", "letter")
    assert done.code == 0
    assert done.out.startswith(f"card {out}\n")
    assert "benchproof card --printed" in done.out
    assert run("card", "-o", out, "--json").answer() == {"card": str(out)}


def test_without_a_name_it_is_card_pdf_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("card").code == 0
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF-")


def test_a_card_never_destroys_another_file(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    assert run("card", "-o", tmp_path / "notes.txt").code == 2
    assert (tmp_path / "notes.txt").read_text(encoding="utf-8") == "mine"


def test_true_sizes_are_those_of_the_rule_of_three() -> None:
    answer = run("card", "--printed", "99.7 mm +- 0.02 mm", "99.7 mm +- 0.02 mm", "--json").answer()
    printed = {m["stated_mm"]: float(m["printed"]["value"]) for m in answer["markers"]}
    assert sorted(printed) == [5.0, 8.0, 10.0, 12.0, 16.0, 25.0, 40.0]
    for stated, true in printed.items():
        assert_allclose(true, stated * 99.7 / 100, rtol=1e-12)
    assert answer["warnings"] == []


def test_what_is_told_can_be_typed_and_means_the_same() -> None:
    """The +- that is told, typed for --marker, gives the uncertainty that was worked out."""
    done = run("card", "--printed", "99.7 mm", "99.9 mm")
    told = re.findall(r'marker (\d+) .*--marker "(.+)"', done.out)
    assert [identifier for identifier, _ in told] == ["40", "41", "42", "43", "44", "45"]
    scale = print_scale([mm(99.7, 0.05 / sqrt(3)), mm(99.9, 0.05 / sqrt(3))])
    for (_, text), stated in zip(told, (5.0, 8.0, 10.0, 16.0, 25.0, 40.0), strict=True):
        typed, _ = typed_length(text, "marker")
        assert_allclose(typed.value, stated * 0.998, atol=0.005)
        assert_allclose(typed.u, scale.printed(stated).u, atol=0.005 / sqrt(3) + 1e-9)


def test_the_uncertainty_is_the_root_of_the_squares_by_hand() -> None:
    # Reading u 0.03 mm on 100 mm; bars 0.2 mm apart: half width 0.1 mm in 100; half a dot of a
    # 600 dpi printer, 0.021167 mm, on the marker itself. For 10 mm:
    # sqrt(0.003^2 + (0.01^2 + 0.021167^2) / 3) = 0.01384.
    printed = print_scale([mm(99.7, 0.03), mm(99.9, 0.03)]).printed(10.0)
    assert_allclose((printed.value, printed.u), (9.98, 0.01384), atol=5e-6)


def test_a_bar_that_was_not_measured_is_allowed_for_and_told() -> None:
    one, two = print_scale([mm(99.7)]), print_scale([mm(99.7), mm(99.7)])
    assert one.printed(40.0).u > 2 * two.printed(40.0).u
    assert "bar down was not measured" in run("card", "--printed", "99.7 mm").out
    assert two.noted == ()
    assert "uneven" in " ".join(print_scale([mm(99.5), mm(99.9)]).noted)


@pytest.mark.parametrize("text", ["96.9 mm", "103.1 mm", "3.78 in", "50 mm"])
def test_a_scaled_print_is_refused_with_what_to_do(text: str) -> None:
    done = run("card", "--printed", "100 mm", text)
    assert (done.code, done.out) == (2, "")
    assert "print at 100 %" in done.err


@pytest.mark.parametrize("text", ["97.1 mm", "102.9 mm", "3.93 in"])
def test_a_print_within_3_per_cent_is_taken(text: str) -> None:
    assert run("card", "--printed", text).code == 0


def test_wrong_use_is_told(tmp_path: Path) -> None:
    assert run("card", "--printed", "99.7 mm", "-o", tmp_path / "c.pdf").code == 2
    assert run("card", "--printed", "1 mm", "2 mm", "3 mm").code == 2
    assert "bar across" in run("card", "--printed", "about 100").err
    assert not (tmp_path / "c.pdf").exists()


def test_of_several_markers_the_one_of_the_typed_size_is_taken(tmp_path: Path) -> None:
    photo = read_photo(photo_of(tmp_path, ("4x4_50", 42), ("4x4_50", 44), ("5x5_250", 7)))
    for side, meant in ((9.97, ("4x4_50", 42)), (24.9, ("4x4_50", 44)), (11.96, ("5x5_250", 7))):
        marker = find_marker(photo, mm(side))
        assert (marker.dictionary, marker.identifier) == meant


def test_several_markers_and_none_of_that_size_are_refused(tmp_path: Path) -> None:
    face = photo_of(tmp_path, ("4x4_50", 42), ("4x4_50", 3))
    done = run("measure", face, "--marker", "20 mm", "--click", "30,30")
    assert (done.code, "2 printed markers" in done.err) == (3, True)


def test_a_tag_alone_is_a_scale_by_the_size_that_is_typed(tmp_path: Path) -> None:
    marker = find_marker(read_photo(photo_of(tmp_path, ("5x5_250", 31))), mm(11.96))
    assert (marker.identifier, marker.side.value) == (31, 11.96)
