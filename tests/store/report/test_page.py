"""The report as a web page: whole, closed to the world, and saying what the printed one says."""

import base64
import hashlib
import io
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from annotate.quantity import Quantity
from store.book import Book
from store.characteristic import Characteristic, Limit
from store.errors import CannotWrite
from store.evidence import Read
from store.plan import Gauge, HoldPoint, Job, Location, Plan
from store.report.document import report_data
from store.report.page import copies as copying
from store.report.page import cover, locations, registers
from store.report.page.copies import MOST_EACH, MOST_TOGETHER, bounded
from store.report.page.writing import write_page
from store.report.typeset import ReportStopped
from tests.store.report import report_job, report_whole
from tests.store.report.report_job import AT, Bench, coverage, drawn_photo
from tests.store.report.report_page import Page

VERSION = "0.1.0"
HOUSE = Path(__file__).parents[3] / "store/report"
CSS = (HOUSE / "page/page.css").read_text("utf-8")
KINDS = ("job", "whole")


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Book]]:
    root = tmp_path_factory.mktemp("books")
    made = {
        "job": report_job.filled(root / "job"),
        "whole": report_whole.filled(root / "whole"),
    }
    yield made
    for book in made.values():
        book.close()


@pytest.fixture(scope="module")
def sources(books: dict[str, Book], tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    out = tmp_path_factory.mktemp("pages")
    return {name: written(book, out / f"{name}.html") for name, book in books.items()}


def written(book: Book, out: Path, *, at: str = AT) -> str:
    return write_page(book, out, at=at, version=VERSION, budgets=True).read_text("utf-8")


def plain(text: str) -> str:
    return re.sub(r"[\s\u00a0]+", " ", text.replace("\u200b", "")).strip()


@pytest.mark.parametrize("kind", KINDS)
def test_it_is_nested_as_the_standard_asks_and_in_one_language(
    sources: dict[str, str], kind: str
) -> None:
    page = Page(sources[kind])
    assert page.faults == []
    assert sources[kind].startswith("<!doctype html>\n")
    assert page.all("html")[0].attributes["lang"] == "en"
    assert len(page.all("h1")) == 1
    levels = [int(each.name[1]) for each in page.elements if re.fullmatch(r"h\d", each.name)]
    assert all(b - a <= 1 for a, b in pairwise(levels))
    ids = [each.attributes["id"] for each in page.elements if "id" in each.attributes]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize("kind", KINDS)
def test_every_picture_says_what_it_shows(sources: dict[str, str], kind: str) -> None:
    page = Page(sources[kind])
    assert len(page.all("img")) >= 4
    assert all(each.attributes["alt"].strip() for each in page.all("img"))
    drawn = [each for each in page.elements if each.attributes.get("role") == "img"]
    assert len(drawn) >= 5
    assert all(each.attributes["aria-label"].strip() for each in drawn)
    for each in page.all("svg"):
        told = [*each.round, each]
        assert any({"aria-hidden", "aria-label"} & set(one.attributes) for one in told)


@pytest.mark.parametrize("kind", KINDS)
def test_tables_have_captions_and_heads_that_say_what_they_head(
    sources: dict[str, str], kind: str
) -> None:
    page = Page(sources[kind])
    assert len(page.all("table")) == len(page.all("caption")) >= 10
    assert all(each.text.strip() for each in page.all("caption"))
    assert all(each.attributes["scope"] in {"row", "col"} for each in page.all("th"))
    # Set row by row on a telephone, each figure keeps its head, and the table its roles.
    stacked = [each for each in page.all("table") if "stacked" in each.attributes.get("class", "")]
    assert len(stacked) >= 5
    for table in stacked:
        assert table.attributes["role"] == "table"
        heads = [
            e.text for e in page.all("th") if table in e.round and e.attributes["scope"] == "col"
        ]
        cells = [e for e in page.all("td") if table in e.round and "data-head" in e.attributes]
        assert {each.attributes["data-head"] for each in cells} <= set(heads)
        assert all(e.attributes["role"] == "cell" for e in page.all("td") if table in e.round)


@pytest.mark.parametrize("kind", KINDS)
def test_it_names_nothing_outside_itself_and_runs_nothing(
    sources: dict[str, str], kind: str
) -> None:
    page = Page(sources[kind])
    ids = {each.attributes.get("id") for each in page.elements}
    kept = {
        "script",
        "iframe",
        "object",
        "embed",
        "link",
        "base",
        "form",
        "input",
        "audio",
        "video",
    }
    assert kept & {each.name for each in page.elements} == set()
    for each in page.elements:
        for name, value in each.attributes.items():
            assert not name.startswith("on")
            assert name not in {"style", "srcset", "srcdoc", "ping", "action", "formaction"}
            if name == "src" or (name == "href" and each.name == "image"):
                assert value.startswith("data:image/jpeg;base64,")
            elif name == "href":
                assert value[0] == "#"
                assert value[1:] in ids
            elif not value.startswith("data:"):
                assert "://" not in value
                assert re.sub(r"url\(#hatch\)", "", value).find("url(") == -1
    assert "://" not in plain(page.text)
    assert not re.search(r"url\(|@import|@font-face|expression|://", CSS)
    assert page.comments == []


@pytest.mark.parametrize("kind", KINDS)
def test_its_content_policy_allows_its_one_style_and_pictures_in_it(
    sources: dict[str, str], kind: str
) -> None:
    page = Page(sources[kind])
    (policy,) = (
        each.attributes["content"] for each in page.all("meta")
        if each.attributes.get("http-equiv") == "Content-Security-Policy"
    )  # fmt: skip
    (style,) = page.all("style")
    digest = base64.b64encode(hashlib.sha256(style.text.encode("utf-8")).digest()).decode("ascii")
    allowed = dict(each.strip().split(" ", 1) for each in policy.split(";"))
    assert allowed == {
        "default-src": "'none'", "img-src": "data:", "style-src": f"'sha256-{digest}'",
        "base-uri": "'none'", "form-action": "'none'",
    }  # fmt: skip
    # Before anything that it governs.
    metas = [each.attributes.get("http-equiv", each.name) for each in page.elements[:4]]
    assert metas[3] == "Content-Security-Policy"


SILENT = {
    "file",
    "overlay",
    "paper",
    "side",
    "author",
    "description",
    "widths",
    "near",
    "far",
}  # not words for a reader


def leaves(value: Any, name: str = "") -> Iterator[str]:  # JSON is any of its forms
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in SILENT:
                yield from leaves(inner, key)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from leaves(inner, name)
    elif isinstance(value, str):
        yield value


@pytest.mark.parametrize("kind", KINDS)
def test_it_says_every_word_and_number_that_is_printed(
    books: dict[str, Book], sources: dict[str, str], kind: str
) -> None:
    data, _ = report_data(books[kind], at=AT, version=VERSION, budgets=True)
    page = Page(sources[kind])
    heard = [
        each.attributes[name]
        for each in page.elements
        for name in ("alt", "aria-label", "title", "content")
        if name in each.attributes
    ]
    there = plain(" ".join([page.text, *heard, *(each.text for each in page.all("title"))]))
    # What is about the feet and fonts of a printed report is said in other words.
    data["checking"]["steps"][0]["text"] = registers.WHOLE
    data["checking"]["made"] = f"benchproof {VERSION}"
    # Codes of sections are for the paper's margin; a page is reached by its headings.
    for section in (data["holds"], data["budgets"], *data["registers"]):
        section["code"] = ""
    for each in data["maps"]:
        each["number"] = ""
    missing = [text for text in leaves(data) if plain(text) not in there]
    ticks = {
        tick["text"]
        for place in data["places"]
        for check in place["checks"]
        for drawn in (check["line"], check["agreement"])
        if drawn
        for tick in drawn["ticks"]
    }
    assert set(missing) <= ticks  # some figures of a scale have no room
    assert len(list(leaves(data))) > 300


@pytest.mark.parametrize("kind", KINDS)
def test_it_says_no_number_that_is_not_printed(
    books: dict[str, Book], sources: dict[str, str], kind: str
) -> None:
    data, _ = report_data(books[kind], at=AT, version=VERSION, budgets=True)
    own = f"{registers.WHOLE} {MOST_EACH // 1000} {MOST_TOGETHER // 1_000_000}"
    counts = " ".join(str(each["n"]) for each in data["cover"]["counts"])
    figures = r"\d+(?:[.,:]\d+)*"
    printed = set(re.findall(figures, " ".join([own, counts, *map(plain, leaves(data))])))
    shown = set(re.findall(figures, plain(Page(sources[kind]).spaced)))
    assert len(shown) > 100
    assert shown - printed == set()


def test_verdicts_and_counts_are_those_of_the_book(
    books: dict[str, Book], sources: dict[str, str]
) -> None:
    # The expected texts are worked out here from the records, not by the report's own code.
    text = plain(Page(sources["job"]).text)
    for state, number in books["job"].round().tally().items():
        assert f"{number}{state}" in text or number == 0
    for key in ("B1.covered", "B2.covered"):
        check = books["job"].round().check(key)
        assert check.value is not None
        assert check.verdict is not None
        covered = 100 * check.value.value
        assert f"{covered:.1f} % covered, {100 - covered:.1f} % open" in text
        low, high = (100 * end for end in check.value.interval())
        assert f"95 % interval {low:.1f} to {high:.1f} %" in text
        assert check.verdict.state in text


def test_walls_and_stems_stand_where_limit_and_value_are(
    books: dict[str, Book], sources: dict[str, str]
) -> None:
    page = Page(sources["job"])
    check = books["job"].round().check("B1.covered")
    assert check.value is not None
    assert check.verdict is not None
    assert check.verdict.bound_high is not None
    (figure,) = (
        each for each in page.all("figure")
        if "limit at most 22 %" in plain(each.attributes.get("aria-label", ""))
        and "attempt 1" in each.attributes["aria-label"]
    )  # fmt: skip
    inside = [each for each in page.elements if figure in each.round]

    def places(kind: str, name: str) -> list[float]:
        found = [e for e in inside if kind in e.attributes.get("class", "").split()]
        return [float(each.attributes[name].rstrip("%")) for each in found]

    assert places("wall", "x1") == [22.0, 22.0]  # the plan's limit, on a scale from 0 to 100 %
    hatched = [each for each in inside if each.attributes.get("fill") == "url(#hatch)"]
    assert [(e.attributes["x"], e.attributes["width"]) for e in hatched] == [("22%", "78%")] * 2
    assert places("stem", "x1")[-1] == pytest.approx(100 * check.value.value, abs=1e-3)
    start, width = places("blade", "x")[-1], places("blade", "width")[-1]
    assert start == pytest.approx(100 * check.value.value, abs=1e-3)
    assert start + width == pytest.approx(check.verdict.bound_high, abs=2e-3)
    # What lies in the wall is told apart by its outline.
    assert len(places("inside", "x")) == 1


def test_marks_lie_over_the_picture_with_its_proportions(sources: dict[str, str]) -> None:
    page = Page(sources["job"])
    overlays = [e for e in page.all("svg") if e.attributes.get("class") == "overlay"]
    assert len(overlays) == 3
    for overlay in overlays:
        beside = [e for e in page.all("img") if e.round[-1] is overlay.round[-1]]
        (picture,) = beside
        _, _, wide, high = map(float, overlay.attributes["viewbox"].split())
        shown = int(picture.attributes["width"]) / int(picture.attributes["height"])
        assert shown == pytest.approx(wide / high, rel=0.01)
        lines = [e for e in page.elements if overlay in e.round and e.name == "polyline"]
        assert any("stroke-dasharray" in line.attributes for line in lines)


def test_pictures_are_the_jpegs_that_they_say(sources: dict[str, str]) -> None:
    for each in Page(sources["whole"]).all("img"):
        data = base64.b64decode(each.attributes["src"].partition(",")[2], validate=True)
        with Image.open(io.BytesIO(data)) as picture:
            assert picture.format == "JPEG"
            wide, high = (int(each.attributes[name]) for name in ("width", "height"))
            assert picture.size == (wide, high)
            assert dict(picture.getexif()) == {}
        assert len(data) <= MOST_EACH


def noise(width: int, height: int) -> Image.Image:
    grain = np.random.default_rng(5).integers(0, 256, (height, width, 3), dtype=np.uint8)
    return Image.fromarray(grain)


@pytest.mark.parametrize("most", [160_000, 20_000, 6_000])
def test_no_picture_is_larger_than_it_may_be(most: int) -> None:
    data, size = bounded(noise(1200, 900), most)
    assert len(data) <= most
    with Image.open(io.BytesIO(data)) as picture:
        assert picture.size == size
        assert picture.width / picture.height == pytest.approx(4 / 3, rel=0.03)


def test_all_pictures_together_are_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.BytesIO()
    noise(800, 600).save(out, "JPEG", quality=95)
    with Bench(tmp_path / "book") as bench:
        for _ in range(5):
            bench.photo("B1", "close-up", out.getvalue())
        large = written(bench.book, tmp_path / "large.html")
        monkeypatch.setattr(copying, "MOST_TOGETHER", 60_000)
        small = written(bench.book, tmp_path / "small.html")

    def bytes_of(source: str) -> int:
        return sum(
            len(base64.b64decode(each.attributes["src"].partition(",")[2]))
            for each in Page(source).all("img")
        )

    assert bytes_of(small) <= 60_000 < bytes_of(large)


def test_the_same_book_and_time_give_the_same_bytes(
    books: dict[str, Book], sources: dict[str, str], tmp_path: Path
) -> None:
    assert written(books["whole"], tmp_path / "again.html") == sources["whole"]
    later = written(books["whole"], tmp_path / "later.html", at=AT.replace("-17T", "-18T"))
    assert later != sources["whole"]


HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "</style></title></svg><b>bold</b><!-- gone",
    "&lt;i&gt; &amp; &#60;u&#62; javascript:alert(1)",
    "]]> --> <svg onload=alert(1)> <base href=//x.invalid>",
    "W" * 400,
    "",
)


def hostile_plan(text: str) -> Plan:
    said = text or "?"
    limit = Limit(said, at_most=Quantity(22.0, "%"))
    oil = Characteristic("covered", "coverage", text, "%", limit=limit, caution=text)
    depth = Characteristic("deep", "depth", text, "mm", datum=text, gauge="D-1")
    return Plan(
        job=Job(text, text, text, text, engine_number=text, instructions=(text,),
                declined=(text,), left_out=(text,), cautions=(text,)),
        locations=(Location("B1", text, (oil,), text, text), Location("P1", text, (depth,))),
        hold_points=(HoldPoint("A", text, ("B1", "P1"), ("fitted",), caution=text),),
        gauges=(Gauge("D-1", text, Quantity(0.01, "mm"), Quantity(0.02, "mm"), last_check=text,
                      due=text, set_on=text, marked=text),),
    )  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_no_text_of_a_person_is_read_as_markup(
    tmp_path: Path, text: str, sources: dict[str, str]
) -> None:
    with Bench(tmp_path / "book", hostile_plan(text)) as bench:
        bench.mark("B1.covered", bench.photo("B1", "close-up", drawn_photo()), coverage(0.2, 0.02))
        reading = Read(
            "P1.deep", text, Quantity(1.54, "mm", 0.02), "1.54", face="BELOW", gauge="D-1"
        )
        wrong = bench.read(reading, by=text)
        bench.strike(wrong.stamp.entry, text or "?", by=text)
        bench.read(reading, by=text)
        assert not bench.close("A")
        source = written(bench.book, tmp_path / "page.html")
    page = Page(source)
    assert page.faults == []
    assert page.comments == []
    usual = Page(sources["job"]), Page(sources["whole"])
    assert {e.name for e in page.elements} <= {e.name for one in usual for e in one.elements}
    names = {name for one in usual for e in one.elements for name in e.attributes}
    assert {name for e in page.elements for name in e.attributes} <= names
    # Read back by a parser it is, letter for letter, what was typed: in text and in alt.
    if text and len(text) < 400:
        assert plain(page.text).count(plain(text)) > 20
        assert any(plain(text) in plain(each.attributes["alt"]) for each in page.all("img"))


def test_an_altered_photo_is_named_and_not_shown(tmp_path: Path) -> None:
    with Bench(tmp_path / "book") as bench:
        path = bench.book.photo_path(bench.photo("B1", "close-up", drawn_photo()))
        path.chmod(0o644)
        data = bytearray(path.read_bytes())
        data[len(data) // 2] ^= 1
        path.write_bytes(data)
        page = Page(written(bench.book, tmp_path / "page.html"))
    said = plain(page.text)
    (alarm,) = (each for each in page.elements if each.attributes.get("role") == "alert")
    assert "This book does not verify: 1 finding; do not rely on this report." in plain(alarm.text)
    assert said.index("do not rely") < said.index("What was checked")
    assert "This photo can not be shown: its file was altered" in said
    assert page.all("img") == []
    assert "The seal in the foot shows" not in said
    assert "page 1" not in said
    assert "No seal: this book does not verify" in said


def test_a_job_without_anything_is_told_as_not_measured(tmp_path: Path) -> None:
    with Bench(tmp_path / "book") as bench:
        page = Page(written(bench.book, tmp_path / "page.html"))
    assert page.faults == []
    said = plain(page.text)
    assert "Of 11 things asked of this engine, none is shown to be within." in said
    assert "And 5 more, 11 in all." in said
    order = [said.index(each) for each in ("The count", "Not measured", "Cautions", "Who and what")]
    assert order == sorted(order)


def test_a_stopped_page_is_not_written(books: dict[str, Book], tmp_path: Path) -> None:
    with pytest.raises(ReportStopped):
        write_page(books["job"], tmp_path / "page.html", at=AT, version=VERSION, stop=lambda: True)
    assert list(tmp_path.iterdir()) == []


def test_progress_comes_to_its_end(books: dict[str, Book], tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    write_page(
        books["job"], tmp_path / "page.html", at=AT, version=VERSION,
        progress=lambda done, of, _: told.append((done, of)),
    )  # fmt: skip
    assert [done for done, _ in told] == list(range(told[-1][1] + 1))


def test_a_page_that_cannot_be_kept_is_refused(books: dict[str, Book], tmp_path: Path) -> None:
    (tmp_path / "blocked").write_text("in the way")
    with pytest.raises(CannotWrite, match="Choose another folder"):
        written(books["job"], tmp_path / "blocked" / "page.html")


def test_the_plain_words_are_those_of_the_printed_report() -> None:
    printed = (HOUSE / "report.typ").read_text("utf-8")
    for words in (
        cover.NOT_MEASURED, cover.EYE, cover.CAUTIONS, cover.COUNTS_OPEN, cover.LEFT_OUT,
        cover.WHOSE, locations.DONE_HERE, registers.CLOSED, registers.IF_DIFFERENT,
        registers.SHOWS, registers.WORDS,
    ):  # fmt: skip
        assert f"[{words}]" in printed or f"] {words}]" in printed


def luminance(colour: str) -> float:
    # WCAG 2.2, "relative luminance".
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [0, 1], ids=["light", "dark"])
def test_contrast_is_enough_in_both_themes(theme: int) -> None:
    # WCAG 2.2, 1.4.3 (text, AA: 4.5) and 1.4.11 (drawings: 3). The outside check: black on white.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    blocks = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
    tokens = dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6})", blocks[theme]))
    for ground in ("sheet", "well"):
        for text in ("ink", "soft", "accent", "within", "close", "outside", "missing"):
            assert contrast(tokens[text], tokens[ground]) >= 4.5
    assert contrast(tokens["edge"], tokens["sheet"]) >= 3
    assert contrast(tokens["hatch"], tokens["slab"]) >= 3
    assert contrast(tokens["ink"], tokens["band"]) >= 4.5
