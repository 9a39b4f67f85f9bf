"""Tags printed for a job, photographed, and the photos filed by them."""

from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image
from pypdf import PdfReader

from annotate.quantity import Quantity
from annotate.target import find_markers
from capture.errors import BadPhoto
from capture.intake.photo import read_photo
from capture.layers import find_marker
from capture.noticed import unused_markers
from capture.tagged import tagged_location
from store.book import Book
from store.plan import Job
from store.report.targets import tags_data
from tests.capture.command import SAMPLES, run
from tests.capture.samples import HOLES
from tests.capture.small_plan import PLAN
from tests.store.report.pages import AT, Grey, mm_of, rendered

DPI = 300
NUMBERS = {"C1": 1, "P1": 2, "G1": 3, "elsewhere": 4}
Corner = tuple[float, float]
# Where a tag's cut piece comes to lie in the picture: its corners, seen askew.
LEFT = ((120.0, 260.0), (330.0, 235.0), (345.0, 540.0), (135.0, 570.0))
RIGHT = ((1180.0, 180.0), (1390.0, 215.0), (1365.0, 470.0), (1150.0, 450.0))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Grey:
    job = Job(number="T-7", engine="Bench rig", customer="Ada Quill", shop="Back Lane Bench")
    data = tags_data(job, NUMBERS, at=AT, paper="a4")
    return rendered(tmp_path_factory.mktemp("tags"), "tags", data, DPI)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    assert run("start", tmp_path / "plan.toml", tmp_path / "book", "--by", "Ann").code == 0
    return tmp_path / "book"


def mm(value: float) -> Quantity:
    return Quantity(value, "mm")


def piece(page: Grey, number: int) -> Grey:
    """Return one tag cut out of the page along its dashes: 18 mm wide, 30 mm long."""
    (tag,) = [m for m in find_markers(page, mm(12.0), "5x5_250") if m.identifier == number]
    dots = DPI / 25.4
    left, top = (round(v - 3 * dots) for v in tag.corners_px[0])
    return page[top : top + round(30 * dots), left : left + round(18 * dots)]


def photo(
    to: Path, page: Grey, *tags: tuple[int, tuple[Corner, ...]], turned: bool = False
) -> Path:
    """Return a sample picture with tags laid into it, in perspective and blurred as by a lens."""
    scene = np.array(Image.open(SAMPLES / "block-left-side.jpg").convert("RGB"))
    for number, corners in tags:
        cut = piece(page, number)
        tall, wide = cut.shape
        flat = np.array([[0, 0], [wide, 0], [wide, tall], [0, tall]], dtype=np.float32)
        lie = cv2.getPerspectiveTransform(flat, np.array(corners, dtype=np.float32))
        size = (scene.shape[1], scene.shape[0])
        paper = cv2.warpPerspective(cut, lie, size, flags=cv2.INTER_AREA)
        there = cv2.warpPerspective(np.ones_like(cut), lie, size) > 0
        shade = (paper.astype(float) * 0.8 + 15).astype(np.uint8)
        scene[there] = cv2.GaussianBlur(shade, (0, 0), 1.0)[there][:, None]
    Image.fromarray(scene[:, ::-1] if turned else scene).save(to, quality=92)
    return to


def test_tags_of_a_book_are_numbered_and_written(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "tags.pdf"
    done = run("tags", book, "-o", out)
    assert (done.code, done.out) == (0, f"tags {out}\n    1  C1\n    2  P1\n")
    assert "C1" in PdfReader(out).pages[0].extract_text()
    run("change", book, "add-location", "G1", "--name", "Gallery plug", "--after", "C1")
    again = run("tags", book, "-o", out, "--paper", "letter", "--json").answer()
    assert again == {"tags": str(out), "numbers": {"C1": 1, "P1": 2, "G1": 3}}


def test_tags_of_a_plan_are_those_its_book_will_have(tmp_path: Path, book: Path) -> None:
    of_plan = run("tags", tmp_path / "plan.toml", "-o", tmp_path / "p.pdf", "--json").answer()
    of_book = run("tags", book, "-o", tmp_path / "b.pdf", "--json").answer()
    assert of_plan["numbers"] == of_book["numbers"]
    assert run("tags", book, "-o", book / "tags.pdf").code == 2


def test_a_tag_in_the_picture_files_it(book: Path, tmp_path: Path, page: Grey) -> None:
    first = photo(tmp_path / "one.jpg", page, (2, LEFT))
    second = photo(tmp_path / "two.jpg", page, (1, RIGHT))
    done = run("photo", book, first, second, "--by-tag", "--role", "overall", "--by", "Ann")
    assert done.code == 0, done.err
    assert "one.jpg at P1, by its tag as overall" in done.out
    assert "two.jpg at C1, by its tag as overall" in done.out


def test_without_at_the_tag_is_looked_for(book: Path, tmp_path: Path, page: Grey) -> None:
    seen = photo(tmp_path / "one.jpg", page, (2, RIGHT))
    answer = run("photo", book, seen, "--role", "fitted", "--json").answer()
    assert [kept["location"] for kept in answer["kept"]] == ["P1"]


def test_a_location_added_later_is_known_by_its_tag(book: Path, tmp_path: Path, page: Grey) -> None:
    seen = photo(tmp_path / "one.jpg", page, (3, LEFT))
    before = run("photo", book, seen, "--by-tag", "--role", "overall")
    assert (before.code, "tag 3, which is of no location" in before.err) == (3, True)
    run("change", book, "add-location", "G1", "--name", "Gallery plug", "--after", "C1")
    after = run("photo", book, seen, "--by-tag", "--role", "overall", "--json").answer()
    assert after["kept"][0]["location"] == "G1"


def test_no_tag_and_two_tags_are_refused_and_keep_no_other_photo_out(
    book: Path, tmp_path: Path, page: Grey
) -> None:
    none = photo(tmp_path / "none.jpg", page)
    both = photo(tmp_path / "both.jpg", page, (1, LEFT), (2, RIGHT))
    good = photo(tmp_path / "good.jpg", page, (1, LEFT))
    done = run("photo", book, none, both, good, "--by-tag", "--role", "overall", "--json")
    assert done.code == 3
    answer = done.answer()
    assert [kept["file"] for kept in answer["kept"]] == ["good.jpg"]
    why = {refused["file"]: refused["why"] for refused in answer["refused"]}
    assert "shows no tag" in why["none.jpg"]
    assert "tags of C1 and P1" in why["both.jpg"]
    assert all("--at LOCATION" in words for words in why.values())


def test_two_tags_of_one_location_are_one(tmp_path: Path, page: Grey) -> None:
    seen = read_photo(photo(tmp_path / "twice.jpg", page, (2, LEFT), (2, RIGHT)))
    assert tagged_location(seen, NUMBERS) == "P1"


def test_a_tag_in_a_mirror_is_read_when_the_mirror_is_told(tmp_path: Path, page: Grey) -> None:
    seen = read_photo(photo(tmp_path / "m.jpg", page, (1, LEFT), turned=True))
    with pytest.raises(BadPhoto, match="shows no tag"):
        tagged_location(seen, NUMBERS)
    assert tagged_location(seen, NUMBERS, view="mirror") == "C1"


def test_at_a_place_whose_tag_it_does_not_show_a_photo_is_asked_about(
    book: Path, tmp_path: Path, page: Grey
) -> None:
    other = photo(tmp_path / "other.jpg", page, (2, LEFT))
    strange = photo(tmp_path / "strange.jpg", page, (4, LEFT))
    both = photo(tmp_path / "both.jpg", page, (1, LEFT), (2, RIGHT))
    none = photo(tmp_path / "none.jpg", page)
    done = run("photo", book, other, strange, both, none, "--at", "C1", "--role", "overall",
               "--json")  # fmt: skip
    assert done.code == 3
    answer = done.answer()
    assert [kept["file"] for kept in answer["kept"]] == ["both.jpg", "none.jpg"]
    why = {refused["file"]: refused["why"] for refused in answer["refused"]}
    assert "other.jpg shows the tag of P1 and was to be filed at C1" in why["other.jpg"]
    assert "another job's tag 4" in why["strange.jpg"]
    assert "--stands" in why["other.jpg"]
    words = "the tag was left lying from the plug"
    stands = run("photo", book, other, "--at", "C1", "--role", "overall", "--stands", words)
    assert (stands.code, stands.err) == (0, "")
    with Book.open(book, read_only=True) as opened:
        taken = opened.round().place("C1").photos[-1].taken
    assert (taken.file_name, taken.stands) == ("other.jpg", words)
    assert run("verify", book).code == 0
    assert run("photo", book, other, "--role", "overall", "--stands", words).code == 2
    # Where no tag contradicts, the report would tell of one that nobody saw.
    bare = run("photo", book, none, "--at", "C1", "--role", "overall", "--stands", words)
    assert bare.code == 3
    assert "none.jpg shows no tag that contradicts --at C1: leave --stands out" in bare.err


def test_a_tag_in_a_large_photo_or_a_mirror_contradicts_too(
    book: Path, tmp_path: Path, page: Grey
) -> None:
    seen = photo(tmp_path / "m.jpg", page, (2, RIGHT), turned=True)
    with Image.open(seen) as small:
        small.resize((4 * small.width, 4 * small.height)).save(tmp_path / "large.jpg")
    for view, code in (("direct", 0), ("mirror", 3)):
        done = run("photo", book, tmp_path / "large.jpg", "--at", "C1", "--role", "overall",
                   "--view", view, "--json")  # fmt: skip
        assert done.code == code
    with Book.open(book, read_only=True) as opened:
        (kept,) = opened.round().place("C1").photos
    assert (kept.taken.width_px, kept.taken.height_px) == (4 * small.width, 4 * small.height)


def test_a_coverages_photo_with_another_places_tag_is_not_filed(
    book: Path, tmp_path: Path, page: Grey
) -> None:
    seen = photo(tmp_path / "one.jpg", page, (2, LEFT))
    rims = ["--near-points", "700,500 812,410 930,512 815,640 720,590", "--far-points",
            "760,470 840,440 900,520"]  # fmt: skip
    done = run("coverage", seen, *rims, "--book", book, "--check", "C1.covered")
    assert (done.code, done.out) == (3, "")
    assert "shows the tag of P1 and was to be filed at C1" in done.err
    with Book.open(book, read_only=True) as opened:
        assert opened.round().place("C1").photos == ()


def test_a_marker_of_ours_that_was_not_typed_is_told(tmp_path: Path, page: Grey) -> None:
    seen = photo(tmp_path / "one.jpg", page, (2, LEFT))
    hole = HOLES["bearing-1.jpg"]
    x, y = hole["click"]
    words = ["coverage", SAMPLES / "bearing-1.jpg", "--click", f"{x},{y}"]
    # Number 41 is 8 mm on our card, and another print's here: what is used must be typed.
    assert hole["marker_side"] == 10.0
    told = "a printed marker, of 8 mm if it is of our own card or tags, is in the picture"
    assert f"note     {told}" in run(*words).out
    warnings = run(*words, "--near-diameter", "7.05 mm", "--json").answer()["warnings"]
    assert any(told in each and '--marker "LENGTH"' in each for each in warnings)
    assert told not in run(*words, "--marker", "10 mm").out
    assert "of 12 mm if it is of our own" in unused_markers(read_photo(seen))[0]
    assert unused_markers(read_photo(SAMPLES / "bearing-3.jpg")) == ()  # no number of ours


def test_at_and_by_tag_together_are_refused(book: Path, tmp_path: Path) -> None:
    assert run("photo", book, tmp_path / "x.jpg", "--at", "C1", "--by-tag", "--role",
               "overall").code == 2  # fmt: skip


def test_a_file_that_cannot_be_shown_has_no_tag(book: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.jpg"
    broken.write_bytes((SAMPLES / "bearing-1.jpg").read_bytes()[:20_000])
    done = run("photo", book, broken, "--by-tag", "--keep-anyway", "--role", "overall")
    assert (done.code, "no tag is seen on it" in done.err) == (3, True)


def test_the_tag_that_files_a_photo_is_its_scale_where_asked(tmp_path: Path, page: Grey) -> None:
    seen = read_photo(photo(tmp_path / "one.jpg", page, (2, LEFT)))
    marker = find_marker(seen, mm(11.96))
    assert (marker.dictionary, marker.identifier, marker.side.value) == ("5x5_250", 2, 11.96)


def test_a_tag_on_the_page_is_12_mm(page: Grey) -> None:
    straight = find_markers(page, mm(12.0), "5x5_250")[0].corners_px
    side: npt.NDArray[np.float64] = np.diff(np.array(straight), axis=0)
    # Grey edges of a page that no camera blurred are known to a fraction of a dot, 0.085 mm.
    assert abs(mm_of(float(np.linalg.norm(side, axis=1).mean()), DPI) - 12) < 0.03
