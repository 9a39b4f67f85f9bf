"""benchproof lens, and --lens in coverage and measure, alone and in a book."""

import shutil
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageOps

from annotate.optics.profile import LensProfile
from capture.lenses import Made, ViewUsed, profile_text, read_profile
from capture.shown import is_workings
from store.book import Book
from store.evidence import Marked, PaperKept
from store.verify import verify
from tests.capture.command import SAMPLES, points, run
from tests.capture.samples import FACE, HOLES
from tests.capture.small_plan import PLAN

BOARD = Path(__file__).parents[1] / "truth" / "opencv-doc"
NO_BOARD = BOARD / "singlemarkersoriginal.jpg"
VIEWS = sorted(BOARD.glob("left*.jpg"))
HOLE = HOLES["bearing-1.jpg"]
PHOTO = SAMPLES / "bearing-1.jpg"
BY_HAND = ["--near-points", points(HOLE["near_points"]), "--far-points", points(HOLE["far_points"])]
KNOWN = ["--near-diameter", "7.05 mm +- 0.05 mm", "--wall", "1.4 mm +- 0.1 mm"]


def straight_lens(size: tuple[int, int], focal_px: float, **doubts: Any) -> str:
    """Return the file of a camera that bends nothing, as the renderer's does."""
    x, y = (size[0] - 1) / 2, (size[1] - 1) / 2
    profile = LensProfile(focal_px, focal_px, x, y, 0, 0, 0, 0, 0, *size, 0.1, **doubts)
    return profile_text(Made(profile, (ViewUsed("board-1.jpg", 0.1),), 40.0))


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    target = tmp_path_factory.mktemp("lens") / "left.toml"
    done = run("lens", *VIEWS, "--chessboard", "9x6x25mm", "-o", target, "--json")
    assert (done.code, done.err) == (0, "")
    return target, done.answer()


def picture_size(path: Path) -> tuple[int, int]:
    """Return the size of the upright picture."""
    with Image.open(path) as picture:
        return ImageOps.exif_transpose(picture).size


def test_the_published_photos_give_the_published_lens(written) -> None:
    # tests/truth/opencv-doc/left_intrinsics.yml: f 535.9157, centre 342.2832, 235.5708.
    target, answer = written
    lens = answer["lens"]
    assert lens["fx"] == pytest.approx(535.9157, rel=0.006)
    assert (lens["cx"], lens["cy"]) == pytest.approx((342.2832, 235.5708), abs=2.5)
    assert (lens["width_px"], lens["height_px"]) == (640, 480)
    assert 0.1 < lens["u_focal_px"] < 3
    assert answer["used"] == len(answer["photos"]) == 13
    assert all(photo["used"] and 0.1 < photo["rms_px"] < 0.26 for photo in answer["photos"])
    assert answer["written"] == str(target)
    assert any("bring the board into the corners" in words for words in answer["warnings"])


def test_the_file_reads_back_as_the_profile_that_was_told(written) -> None:
    target, answer = written
    profile = read_profile(target)
    assert profile.fx == answer["lens"]["fx"]
    assert profile.u_barrel == answer["lens"]["u_barrel"]
    assert 'name = "left02.jpg"' in target.read_text("utf-8")


def test_a_profile_is_never_written_over_another_file(tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    target.write_text("mine", "utf-8")
    done = run("lens", *VIEWS[:7], "--chessboard", "9x6x25 mm", "-o", target)
    assert (done.code, target.read_text("utf-8")) == (2, "mine")
    assert "name another" in done.err
    done = run("lens", *VIEWS[:7], "--chessboard", "9x6x25 mm", "-o", tmp_path / "none" / "a.toml")
    assert done.code == 2
    assert "make it first" in done.err


def test_a_profile_is_written_under_a_name_of_its_own_which_is_not_taken_from_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("lens", *VIEWS[:7], NO_BOARD, "--chessboard", "9x6x25 mm")
    assert done.code == 0
    assert "no board  LEFT OUT" in done.out
    assert "7 of 8 used" in done.out
    assert "written  lens.toml" in done.out
    first = Path("lens.toml").read_text("utf-8")
    assert read_profile(Path("lens.toml")).width_px == 640
    done = run("lens", *VIEWS[7:], "--chessboard", "9x6x25 mm", "--json")
    assert (done.code, done.answer()["written"]) == (0, None)
    assert Path("lens.toml").read_text("utf-8") == first
    done = run("lens", *VIEWS[7:], "--chessboard", "9x6x25 mm")
    assert "nothing was written: lens.toml is there already" in done.out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ([*VIEWS[:4], "--chessboard", "9x6x25 mm"], 3, "at least 6"),
        ([*VIEWS[:6], VIEWS[0], "--chessboard", "9x6x25 mm"], 3, "given twice"),
        ([VIEWS[0], "--chessboard", "9x6"], 2, "COLSxROWSxSQUARE"),
        ([NO_BOARD, "--chessboard", "9x6x25 mm"], 3, "no board was found"),
    ],
)  # fmt: skip
def test_what_gives_no_lens_is_refused_with_what_to_do(words, code, said) -> None:
    done = run("lens", *words)
    assert (done.code, done.out) == (code, "")
    assert said in done.err


def test_photos_of_two_sizes_are_refused(tmp_path: Path) -> None:
    small = tmp_path / "small.png"
    with Image.open(VIEWS[1]) as picture:
        picture.resize((512, 384)).save(small)
    done = run("lens", VIEWS[0], small, "--chessboard", "9x6x25 mm")
    assert done.code == 3
    assert "small.png has 512 x 384 pixels" in done.err


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no [lens]"),
        ("[lens]\nfx = 1.0\n", "missing required field"),
        ("[lens\n", "no lens profile"),
        (straight_lens((10, 10), 5.0).replace("fx = 5.0", "fx = -5.0"), "positive focal"),
        (straight_lens((10, 10), 5.0).replace("fx = 5.0", "fx = nan"), "positive focal"),
        ("#" * 200_000, "too large"),
    ],
)  # fmt: skip
def test_a_file_that_is_no_profile_is_refused(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "x.toml"
    path.write_text(text, "utf-8")
    done = run("coverage", PHOTO, *BY_HAND, "--lens", path)
    assert done.code == 3
    assert said in done.err


def test_a_profile_that_is_not_there_is_refused() -> None:
    done = run("measure", PHOTO, "--marker", "10 mm", "--click", "9,9", "--lens", "none.toml")
    assert done.code == 3
    assert "there is no file none.toml" in done.err


def test_a_name_with_quotes_and_line_ends_survives_the_file(tmp_path: Path) -> None:
    profile = LensProfile(5, 5, 4.5, 4.5, 0, 0, 0, 0, 0, 10, 10, 0.1, focal_35mm=26.0)
    path = tmp_path / "p.toml"
    odd = 'a "b"\n\\c\x7f.jpg'
    path.write_text(profile_text(Made(profile, (ViewUsed(odd, None, odd),), 40.0)), "utf-8")
    assert read_profile(path) == profile


def test_coverage_with_a_lens_holds_the_truth_and_says_so(tmp_path: Path) -> None:
    size = picture_size(PHOTO)
    path = tmp_path / "lens.toml"
    path.write_text(straight_lens(size, 1.1 * max(size), u_barrel=0.001), "utf-8")
    bare = run("coverage", PHOTO, *BY_HAND, *KNOWN, "--json").answer()
    done = run("coverage", PHOTO, *BY_HAND, *KNOWN, "--lens", path, "--json")
    assert done.code == 0
    answer = done.answer()
    assert set(answer) == set(bare)
    assert any("lens as measured" in words for words in answer["warnings"])
    lens = [
        sum(line["points"] for line in found["budget"] if line["source"] == "lens")
        for found in (bare, answer)
    ]
    assert lens[1] < lens[0]


def test_a_lens_of_another_shape_measures_nothing(tmp_path: Path) -> None:
    path = tmp_path / "lens.toml"
    path.write_text(straight_lens((640, 400), 700.0), "utf-8")
    done = run("coverage", PHOTO, *BY_HAND, "--lens", path)
    assert done.code == 3
    assert "640 x 400 pixels, and this one has another shape, 1200 x 1600" in done.err
    assert "use a photo that was not cropped, or make a profile of such photos" in done.err


def test_a_lens_of_photos_held_the_other_way_is_used_and_that_is_said(tmp_path: Path) -> None:
    size = picture_size(PHOTO)
    upright, across = tmp_path / "upright.toml", tmp_path / "across.toml"
    upright.write_text(straight_lens(size, 1.1 * max(size), u_barrel=0.001), "utf-8")
    across.write_text(straight_lens(size[::-1], 1.1 * max(size), u_barrel=0.001), "utf-8")
    as_held, turned = (run("coverage", PHOTO, *BY_HAND, *KNOWN, "--lens", path, "--json")
                       for path in (upright, across))  # fmt: skip
    words = "the lens profile's photos were held the other way"
    said = [any(words in one for one in done.answer()["warnings"]) for done in (as_held, turned)]
    assert said == [False, True]
    # A lens in the middle that bends nothing is the same either way.
    assert turned.answer()["covered"] == as_held.answer()["covered"]
    face = ["measure", SAMPLES / FACE["file"], "--chessboard", "7x5x5.0 mm", "--click", "634,468"]
    done = run(*face, "--lens", across)
    assert (done.code, words in done.out) == (0, True)


def test_measure_with_a_lens_holds_the_truth(tmp_path: Path) -> None:
    photo = SAMPLES / FACE["file"]
    size = picture_size(photo)
    path = tmp_path / "lens.toml"
    path.write_text(straight_lens(size, 1.2 * max(size), u_barrel=0.0005), "utf-8")
    words = ["measure", photo, "--chessboard", "7x5x5.0 mm"]
    words += ["--click", "634,468", "--click", "791,1077", "--json"]
    bare, through = run(*words), run(*words, "--lens", path)
    assert through.code == 0
    one, two = ([hole["diameter"] for hole in done.answer()["holes"]] for done in (bare, through))
    assert [d["unit"] for d in two] == ["mm", "mm"]
    assert all(d["u"] <= b["u"] * 1.02 for b, d in zip(one, two, strict=True))
    for b, d in zip(one, two, strict=True):
        assert b["low"] < d["value"] < b["high"]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, Path]:
    """Return a book with marks measured through a lens, the check's key, the profile's file."""
    folder = tmp_path_factory.mktemp("book")
    plan, root, path = folder / "plan.toml", folder / "job", folder / "lens.toml"
    plan.write_text(PLAN, "utf-8")
    assert run("start", plan, root, "--by", "A. Fitter").code == 0
    size = picture_size(PHOTO)
    path.write_text(straight_lens(size, 1.1 * max(size), u_barrel=0.001), "utf-8")
    with Book.open(root, read_only=True) as opened:
        key = next(
            f"{location.id}.{check.id}"
            for location in opened.plan.locations
            for check in location.characteristics
            if check.kind == "coverage"
        )
    words = ["coverage", PHOTO, *BY_HAND, *KNOWN, "--book", root, "--check", key]
    for _ in range(2):
        assert run(*words, "--lens", path, "--by", "A. Fitter").code in {0, 4, 5}
    assert run(*words, "--by", "A. Fitter").code in {0, 4, 5}
    return root, key, path


def test_a_book_keeps_the_lens_its_file_once_and_cites_it(book) -> None:
    root, _, path = book
    with Book.open(root, read_only=True) as opened:
        papers = [e for e in opened.entries() if isinstance(e.evidence, PaperKept)]
        marked = [e for e in opened.entries() if isinstance(e.evidence, Marked)]
    assert [paper.evidence.what for paper in papers] == ["lens profile"]
    assert [m.evidence.lens_paper for m in marked] == [papers[0].hash, papers[0].hash, ""]
    kept = root / "papers"
    assert path.read_bytes() in [each.read_bytes() for each in kept.rglob("*") if each.is_file()]
    assert marked[0].evidence.lens.fx == read_profile(path).fx
    # What another focus changes is in the record, so that it can be worked out again from it alone.
    assert marked[0].evidence.lens.u_focal_px == pytest.approx(0.02 * read_profile(path).fx)


def test_marks_without_a_lens_are_written_as_they_always_were(book) -> None:
    with Book.open(book[0], read_only=True) as opened:
        lines = [e.line for e in opened.entries() if isinstance(e.evidence, Marked)]
    assert [b'"lens"' in line.split(b'"result"')[0] for line in lines] == [True, True, False]
    assert b"lens_paper" not in lines[2]


def test_verify_works_the_number_out_again_without_the_file(book, tmp_path: Path) -> None:
    root = tmp_path / "job"
    shutil.copytree(book[0], root)
    book[2].rename(book[2].with_suffix(".gone"))
    findings = [f for f in verify(root) if f.severity != "note"]
    book[2].with_suffix(".gone").rename(book[2])
    assert findings == []


def test_how_a_profile_came_about_is_drawn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # where its profile is written
    svg, mine = tmp_path / "lens.svg", tmp_path / "mine.svg"
    words = ["lens", *VIEWS[:7], NO_BOARD, "--chessboard", "9x6x25 mm", "--picture"]
    for _ in range(2):  # over one of its kind it is written again
        assert run(*words, svg).code == 0
    drawn = svg.read_text("utf-8")
    assert is_workings(svg)
    assert drawn.count("data:image/jpeg;base64,") == 7
    assert "left02.jpg" in drawn
    answer = run(*words[:-1], "--json").answer()
    for photo in answer["photos"]:
        if photo["used"]:  # the number that is told, beside the one that the whiskers show
            assert f">{photo['rms_px']:.2f} px off the lens of the other photos<" in drawn
    assert NO_BOARD.name not in drawn
    mine.write_text("<svg >mine</svg>", "utf-8")
    done = run(*words, mine)
    assert (done.code, mine.read_text("utf-8")) == (2, "<svg >mine</svg>")
    assert "is not a picture of workings" in done.err


def test_what_gives_no_profile_is_drawn_as_far_as_boards_were_found(tmp_path: Path) -> None:
    svg = tmp_path / "lens.svg"
    words = ["--chessboard", "9x6x25 mm", "--picture", svg]
    done = run("lens", *VIEWS[:3], NO_BOARD, *words)
    assert (done.code, done.out) == (3, "")
    assert f"{svg} shows the boards that were found, and the reason" in done.err
    drawn = svg.read_text("utf-8")
    assert drawn.count("data:image/jpeg;base64,") == 3
    assert "no profile: photos of the chessboard that can be used: 3" in drawn
    assert "left02.jpg" in drawn
    assert is_workings(svg)
    svg.unlink()
    nothing = run("lens", NO_BOARD, *words)
    assert (nothing.code, svg.exists()) == (3, False)
    assert "no picture was drawn: no board was found" in nothing.err
