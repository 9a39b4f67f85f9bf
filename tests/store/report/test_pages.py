"""The report of a small invented book, read back from the PDF with pypdf."""

import re
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
import typst
from PIL import Image
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

from annotate.quantity import Quantity
from store.book import Book
from store.characteristic import Characteristic, Limit
from store.errors import CannotWrite
from store.evidence import Read
from store.plan import Gauge, HoldPoint, Job, Location, Plan
from store.report import proof
from store.report.document import report_data, write_report
from store.report.typeset import ReportFailed, ReportStopped, typeset
from store.round import Round
from tests.store.report.report_job import AT, Bench, coverage, drawn_photo, filled

VERSION = "0.1.0"
A4_PT, LETTER_PT = (595.28, 841.89), (612.0, 792.0)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    made = filled(tmp_path_factory.mktemp("job") / "book")
    yield made
    made.close()


@pytest.fixture(scope="module")
def pdf(book: Book, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("out") / "report.pdf"
    return write_report(book, out, at=AT, version=VERSION)


def words(pdf: Path, page: int | None = None) -> str:
    """Return the text of a PDF on one line, its many kinds of space as one."""
    reader = PdfReader(pdf)
    pages = reader.pages if page is None else [reader.pages[page]]
    text = " ".join(each.extract_text() for each in pages)
    return re.sub(r"[\s\u00a0]+", " ", text.replace("\u200b", ""))


def test_the_first_page_counts_and_says_what_was_not_measured(pdf: Path, book: Book) -> None:
    first = words(pdf, 0)
    known: Round = book.round()
    assert known.tally() == {
        "within": 4, "outside": 1, "too close to call": 1, "not measured": 2, "no limit": 3,
    }  # fmt: skip
    assert "Of 11 things asked of this engine, 4 are shown to be within." in first
    assert "One is outside. One is too close to call. Two were not measured." in first
    waived = "Waived in writing, without changing what it is: "
    waived += "Cam bush 2, oil hole, covered (too close to call)."
    assert waived in first
    assert "Was oil seen at every point? nothing was entered open" in first
    assert "bores and pistons; cylinder head; water jacket under pressure." in first
    assert "New cam, advised on 12 November 2026." in first
    assert "Prime the oil" in first
    assert "Lifting: rated hoist, nobody under or beside the load." in first
    assert "Within asks for odds of 95 in 100" in first


def test_every_verdict_of_the_ledger_is_printed_with_its_numbers(pdf: Path, book: Book) -> None:
    # The expected texts are rounded here from the records, not by the report's own code.
    text = words(pdf)
    for key, decimals, unit in (("B1.covered", 1, "%"), ("B2.covered", 1, "%")):
        check = book.round().check(key)
        assert check.value is not None
        assert check.verdict is not None
        assert check.verdict.bound_high is not None
        value = f"{100 * check.value.value:.{decimals}f} {unit}"
        assert f"{value} covered, {100 - 100 * check.value.value:.1f} % open" in text
        low, high = (100 * end for end in check.value.interval())
        assert f"95 % interval {low:.1f} to {high:.1f} %" in text
        assert f"one-sided bound {check.verdict.bound_high:.1f} %" in text
    room = book.round().check("J2.room")
    assert room.value is not None
    assert room.state == "outside"
    assert 0.00001 < room.value.u < 0.0001  # so that five decimals are printed
    assert f"{room.value.value:.5f} in, 95 % interval" in text
    assert "at least 0.0021 in and at most 0.0047 in; source: maker's manual 4, page 31" in text
    assert "Odds of being outside: more than 99 in 100" in text


def test_too_close_to_call_is_said_with_its_odds_and_the_waiver_beside_it(pdf: Path) -> None:
    text = words(pdf)
    assert re.search(r"Odds of being within: [5-9]\d in 100, so neither within nor outside", text)
    assert (
        "“The pin goes through, I stand by it.” Decided by T. Quayle; owner: by telephone" in text
    )
    assert "The sign does not change." in text


def test_a_struck_reading_is_legible_with_reason_name_and_entry(pdf: Path) -> None:
    text = words(pdf)
    assert "2.04 mm BELOW" in text
    assert "“one turn of the thimble too many”" in text
    assert re.search(r"Struck R\. Oakes, 13 Nov 2026, \d\d:\d\d", text)
    assert re.search(r"Entry \d+ strikes entry \d+\.", text)


def test_readings_stand_exactly_as_typed_with_gauge_and_both_times(pdf: Path) -> None:
    text = words(pdf)
    assert "1 3/4 in" in text
    assert "1.54 BELOW" in text
    assert "no unit was typed; mm was taken for this box" in text
    assert "read 13 Nov 2026, 11:02; entered T. Quayle" in text
    register = "D-2 depth micrometer 0.01 mm 0.02 mm 10 Nov 2026, set on flat 3 not given 1"
    assert register in text  # one reading: the other was struck


def test_hold_points_tell_the_refused_try_and_what_is_open(pdf: Path) -> None:
    text = words(pdf)
    assert "Closed after 1 refused try" in text
    assert re.search(r"Refused 13 Nov 2026.*?Held off by: B2\.covered", text)
    assert "not closed when this report was made" in text
    assert "“fitted”: not taken, demanded by hold point B." in text
    assert "Eye protection when driving plugs." in text


def test_two_datums_are_compared(pdf: Path, book: Book) -> None:
    agreement = book.round().check("P1.same").value
    assert agreement is not None
    assert f"En = {agreement.value:.2f}" in words(pdf)
    assert f"within En {agreement.value:.2f} P1.face" in words(pdf)
    assert "They agree: difference 0.02 mm" in words(pdf)
    face = book.round().check("P1.face").value
    assert face is not None
    low, high = face.interval()
    assert f"{face.value:.2f} mm BELOW, {low:.2f} to {high:.2f} mm BELOW" in words(pdf)


def test_every_photo_is_named_by_all_64_digits(pdf: Path, book: Book) -> None:
    digits = words(pdf).replace(" ", "")
    photos = {p.taken.photo for place in book.round().places for p in place.photos}
    assert len(photos) == 3
    for photo in photos:
        assert photo in digits


def test_the_printed_commands_find_the_printed_root_and_every_change(
    book: Book, pdf: Path, tmp_path: Path
) -> None:
    seal = proof.seals(book.entries())[0]
    assert seal.root in words(pdf).replace(" ", "")
    copy = shutil.copytree(book.root, tmp_path / "copy")
    with sqlite3.connect(copy / "ledger.db") as database:
        asked = proof.ROOT.format(bench=seal.bench, entries=seal.entries).split('"')[1]
        found = "".join(f"{row[0]}\n" for row in database.execute(asked.replace("\\\n", " ")))
        links = proof.LINKS.split('"')[1].replace("\\\n", " ").replace("\\$", "$")
        assert database.execute(links).fetchone() == (0,)
    database.close()
    summed = subprocess.run(["sha256sum"], input=found, capture_output=True, text=True, check=True)
    assert summed.stdout.split()[0] == seal.root
    check = ["bash", "-c", proof.PHOTOS.format(folders="photos")]
    sound = subprocess.run(check, cwd=copy, capture_output=True, text=True, check=False)
    assert (sound.returncode, sound.stdout) == (0, "")
    photo = next((copy / "photos").rglob("*.jpg"))
    photo.chmod(0o644)
    photo.write_bytes(photo.read_bytes()[:-1])
    changed = subprocess.run(check, cwd=copy, capture_output=True, text=True, check=False)
    assert changed.returncode != 0
    assert photo.name[:64] in changed.stdout


def test_the_same_book_gives_the_same_bytes(book: Book, pdf: Path, tmp_path: Path) -> None:
    again = write_report(book, tmp_path / "again.pdf", at=AT, version=VERSION)
    assert again.read_bytes() == pdf.read_bytes()
    later = AT.replace("-17T", "-18T")
    other = write_report(book, tmp_path / "other.pdf", at=later, version=VERSION)
    assert other.read_bytes() != pdf.read_bytes()


@pytest.mark.parametrize(("paper", "size"), [("a4", A4_PT), ("letter", LETTER_PT)])
def test_the_paper_is_the_one_asked_for_and_page_1_stands_alone(
    book: Book, tmp_path: Path, paper: str, size: tuple[float, float]
) -> None:
    out = tmp_path / "report.pdf"
    write_report(book, out, at=AT, version=VERSION, paper=paper)  # type: ignore[arg-type] # literal
    reader = PdfReader(out)
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.1)
    count = len(reader.pages)
    for number, page in enumerate(reader.pages, start=1):
        assert f"Page {number} of {count}" in page.extract_text()
    assert "named above" in words(out, 0)
    assert words(out, 1).split("B1")[0].count("Cam bush 1") <= 1
    assert "Cam bush 1, oil hole" in words(out, 1)


def _alternatives(node: object) -> Iterator[str]:
    """Yield every alternative text in a structure tree."""
    if isinstance(node, IndirectObject):
        node = node.get_object()
    if isinstance(node, ArrayObject):
        for child in node:
            yield from _alternatives(child)
    elif isinstance(node, DictionaryObject):
        if "/Alt" in node:
            yield str(node["/Alt"])
        if "/K" in node:
            yield from _alternatives(node["/K"])


def test_the_pdf_is_tagged_titled_and_its_pictures_can_be_heard(pdf: Path) -> None:
    reader = PdfReader(pdf)
    root = reader.trailer["/Root"]
    assert isinstance(root, DictionaryObject)
    assert str(root["/Lang"]) == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == "Evidence report, job 0862, Ostrel marine three, short block"
    heard = [re.sub(r"[\s\u00a0]+", " ", alt) for alt in _alternatives(root["/StructTreeRoot"])]
    photos = [alt for alt in heard if "Cam bush" in alt]
    assert len(photos) >= 4
    assert any("edge of the bush hole" in alt and "covered" in alt for alt in photos)
    lines = [alt for alt in heard if "one-sided bound" in alt]
    assert any(alt.endswith("too close to call.") for alt in lines)
    assert any(alt.endswith("outside.") for alt in lines)
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    # What no validator was run for is not claimed.
    assert b"pdfaid" not in pdf.read_bytes()
    assert b"pdfuaid" not in pdf.read_bytes()


def test_the_pages_pass_the_checks_that_typst_makes_for_pdf_a_and_pdf_ua(
    book: Book, tmp_path: Path
) -> None:
    data, made_prints = report_data(book, at=AT, version=VERSION)
    for made in made_prints:
        if made.overlay:
            (tmp_path / made.data["overlay"]).write_text(made.overlay, "utf-8")
    typeset(tmp_path, data, tuple(made.wanted for made in made_prints), at=AT)
    strict = typst.compile(
        str(tmp_path / "report.typ"), root=str(tmp_path), ignore_system_fonts=True,
        pdf_standards=["a-3a", "ua-1"],
    )  # fmt: skip
    assert isinstance(strict, bytes)
    assert b"pdfuaid" in strict


HOSTILE = (
    '#panic("x") #import "/etc/passwd" $1/0$ *bold* _i_ <label> @ref `raw` // gone /* gone */ ',
    '"quotes" \'single\' \\backslash \\u{41} #read("data.json") [brackets] {braces} = heading',
    "😀👩‍🔧 \u202eevil\u202c שלום عربي 張偉 e\u0301\u0302\u0303\u0304 \x00\x07\u2028\u2029",
    "many words " * 182,
    "- list\n+ list\n/ term: y\n\n\n= Heading\n---\n",
    "",
)


def _hostile_plan(text: str) -> Plan:
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
def test_no_text_of_a_person_breaks_a_page_or_is_read_as_markup(tmp_path: Path, text: str) -> None:
    bench = Bench(tmp_path / "book", _hostile_plan(text))
    with bench.book as book:
        bench.mark("B1.covered", bench.photo("B1", "close-up", drawn_photo()), coverage(0.2, 0.02))
        reading = Read(
            "P1.deep", text, Quantity(1.54, "mm", 0.02), "1.54", face="BELOW", gauge="D-1"
        )
        wrong = bench.read(reading, by=text)
        bench.strike(wrong.stamp.entry, text or "?", by=text)
        bench.read(reading, by=text)
        assert not bench.close("A")
        out = write_report(book, tmp_path / "report.pdf", at=AT, version=VERSION)
    said = words(out)
    page_width = float(PdfReader(out).pages[0].mediabox.width)
    assert page_width == pytest.approx(A4_PT[0], abs=0.1)
    assert "root:x:0:0" not in said
    for fragment in ('#panic("x")', "$1/0$", "*bold*", "<label>", "@ref", "/* gone */"):
        assert (fragment in said) == (fragment in text)


def test_text_stays_inside_the_paper(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "book", _hostile_plan("W" * 500))
    with bench.book as book:
        bench.read(Read("P1.deep", "W" * 500, Quantity(1.5, "mm", 0.1), "1.5", face="BELOW"))
        out = write_report(book, tmp_path / "report.pdf", at=AT, version=VERSION)
    places: list[float] = []

    def note(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        if text.strip():
            places.append(tm[4] * cm[0] + cm[4])

    for page in PdfReader(out).pages:
        page.extract_text(visitor_text=note)
    assert words(out).count("W") > 10 * 500  # pages and their heads part the runs
    assert min(places) >= 0
    assert max(places) < A4_PT[0] - 15 / 25.4 * 72


def test_an_empty_job_is_reported_as_not_measured(tmp_path: Path) -> None:
    with Bench(tmp_path / "book").book as book:
        said = words(write_report(book, tmp_path / "report.pdf", at=AT, version=VERSION))
    assert "Of 11 things asked of this engine, none is shown to be within." in said
    assert "Eleven were not measured." in said
    assert "And 5 more, 11 in all." in said
    assert "No photo was taken here." in said
    assert "nobody yet" in said


def test_an_altered_photo_is_named_and_not_shown(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "book")
    with bench.book as book:
        photo = bench.photo("B1", "close-up", drawn_photo())
        path = book.photo_path(photo)
        path.chmod(0o644)
        data = bytearray(path.read_bytes())
        data[len(data) // 2] ^= 1
        path.write_bytes(data)
        said = words(write_report(book, tmp_path / "report.pdf", at=AT, version=VERSION))
        pages, _ = report_data(book, at=AT, version=VERSION)
    assert "This book does not verify: 1 finding; do not rely on this report." in said
    assert "Sealed" not in said
    assert "The seal in the foot shows" not in said
    assert "holds, byte for byte" not in said
    assert pages["head"]["state"] == "does not verify: do not rely on it"
    assert said.count("does not verify: do not rely on it") >= 3  # every page's head
    assert "This photo can not be shown: its file was altered" in said
    assert photo in said.replace(" ", "")


def test_a_ledger_with_a_byte_changed_is_reported_with_a_banner(tmp_path: Path) -> None:
    with filled(tmp_path / "book") as book:
        assert report_data(book, at=AT, version=VERSION)[0]["alarm"] == []
    with sqlite3.connect(tmp_path / "book" / "ledger.db") as database:
        database.execute("DROP TRIGGER entries_stay")
        changed = database.execute(
            "UPDATE entries SET line = CAST(replace(CAST(line AS TEXT), '1.54', '1.55') AS BLOB) "
            "WHERE seq = 18 AND instr(line, CAST('1.54' AS BLOB))"
        )
        assert changed.rowcount == 1
    database.close()
    with Book.open(tmp_path / "book", read_only=True) as book:
        data, _ = report_data(book, at=AT, version=VERSION)
    assert "This book does not verify: " in data["alarm"][0]["bold"]
    assert data["alarm"][1]["bold"] == "do not rely on this report."
    assert data["head"]["state"] == "does not verify: do not rely on it"
    assert data["foot"]["seal"] == "No seal: this book does not verify"


def test_heads_that_note_another_chain_are_reported_with_a_banner(tmp_path: Path) -> None:
    with filled(tmp_path / "book") as book:
        heads = book.root / "heads.txt"
        heads.write_text(heads.read_text()[:-65] + "0" * 64 + "\n")
        data, _ = report_data(book, at=AT, version=VERSION)
    assert "1 finding;" in data["alarm"][0]["bold"]


def test_progress_counts_up_to_the_end(book: Book, tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    write_report(
        book, tmp_path / "report.pdf", at=AT, version=VERSION,
        progress=lambda *step: told.append(step),
    )  # fmt: skip
    steps = [step for step, _, _ in told]
    assert steps == sorted(steps)
    assert told[-1] == (told[-1][1], told[-1][1], "done")
    assert len(told) == told[-1][1] + 1


def test_a_report_that_takes_too_long_is_stopped_and_leaves_nothing(
    book: Book, tmp_path: Path
) -> None:
    data, prints = report_data(book, at=AT, version=VERSION)
    wanted = tuple(made.wanted for made in prints)
    with pytest.raises(ReportFailed, match="not finished"):
        typeset(tmp_path, data, wanted, at=AT, timeout_s=0.001)
    assert not (tmp_path / "report.pdf").exists()


def test_a_report_that_is_wanted_no_more_ends_at_once_and_leaves_nothing(
    book: Book, tmp_path: Path
) -> None:
    asked = []

    def stop() -> bool:
        asked.append(1)
        return True

    with pytest.raises(ReportStopped, match="stopped and not written"):
        write_report(book, tmp_path / "report.pdf", at=AT, version=VERSION, stop=stop)
    assert asked == [1]
    assert list(tmp_path.iterdir()) == []


def test_its_pages_can_be_had_as_pictures_and_the_pdf_is_the_same(
    book: Book, pdf: Path, tmp_path: Path
) -> None:
    pages = tmp_path / "pages"
    pages.mkdir()
    out = write_report(book, tmp_path / "report.pdf", at=AT, version=VERSION, previews=pages)
    assert out.read_bytes() == pdf.read_bytes()
    made = sorted(pages.iterdir())
    assert len(made) == len(PdfReader(pdf).pages)
    with Image.open(made[0]) as first:
        assert first.size == (909, 1286)  # A4 at 110 pixels to the inch


def test_a_report_that_can_not_be_written_says_so_and_keeps_the_old_one(
    book: Book, tmp_path: Path
) -> None:
    taken = tmp_path / "report.pdf"
    taken.mkdir()
    with pytest.raises(CannotWrite, match="could not be written"):
        write_report(book, taken, at=AT, version=VERSION)
    assert list(tmp_path.iterdir()) == [taken]


def test_a_time_that_is_none_is_refused_with_an_example(book: Book, tmp_path: Path) -> None:
    with pytest.raises(ReportFailed, match="2026-11-16T17:20:00"):
        write_report(book, tmp_path / "report.pdf", at="yesterday", version=VERSION)
