"""benchproof pack, and verify of a pack: words, exit codes, the key, JSON."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from pypdf import PdfReader

from capture.journey import Journey
from capture.keys import certificate_fingerprint, signing_fingerprint
from store.errors import PackStopped
from store.signing.key_file import key_folder
from tests.capture.command import SAMPLES, run
from tests.store.pack.packed import make_key, unzipped
from tests.store.signing.attacks import extended

PLAN = Path(__file__).parents[2] / "capture/plans/demo.toml"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    assert run("start", PLAN, root, "--by", "A. Fitter").code == 0
    photo = SAMPLES / "bearing-1.jpg"
    assert run("photo", root, photo, "--at", "B1", "--role", "overall").code == 0
    assert run("reading", root, "T1.end-float", "0.20 mm").code == 0
    return root


def test_a_pack_is_written_and_its_fingerprint_told(book: Path, tmp_path: Path) -> None:
    done = run("pack", book, tmp_path / "out.zip")
    assert done.code == 0
    told = subprocess.run(
        ["ssh-keygen", "-l", "-f", key_folder() / "signing-key.pub"],
        capture_output=True, text=True, check=True,
    ).stdout.split()[1]  # fmt: skip
    assert f"signed with {told}" in done.out
    assert "another way" in done.out
    assert signing_fingerprint() == told
    assert zipfile.is_zipfile(tmp_path / "out.zip")


def test_verify_takes_the_zip_and_the_folder(book: Path, tmp_path: Path) -> None:
    assert run("pack", book, tmp_path / "out.zip").code == 0
    top = unzipped(tmp_path / "out.zip", tmp_path / "unzipped")
    for pack in (tmp_path / "out.zip", top):
        done = run("verify", pack)
        assert done.code == 0
        assert "compare it with the one told in another way" in done.out
        assert done.out.splitlines()[-1].startswith("sound: ")
    assert run("verify", book).code == 0


def test_a_changed_pack_ends_with_seven(book: Path, tmp_path: Path) -> None:
    assert run("pack", book, tmp_path / "out").code == 0
    with (tmp_path / "out/data/readings.csv").open("a") as file:
        file.write("x")
    done = run("verify", tmp_path / "out")
    assert done.code == 7
    assert "altered: data/readings.csv" in done.out
    assert "this pack is not what was written" in done.out
    answer = run("verify", tmp_path / "out", "--json")
    assert (answer.code, answer.answer()["sound"]) == (7, False)
    (tmp_path / "out" / "bagit.txt").unlink()
    assert run("verify", tmp_path / "out").code == 7


def test_what_is_no_pack_ends_with_three(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("a letter of some length, and no zip")
    done = run("verify", tmp_path / "letter.txt")
    assert (done.code, "is no pack" in done.err) == (3, True)


def test_a_report_alone_is_verified_and_one_that_was_added_to_is_not(
    book: Path, tmp_path: Path
) -> None:
    report = tmp_path / "report.pdf"
    assert run("report", book, "-o", report).code == 0
    done = run("verify", report)
    assert done.code == 0
    assert certificate_fingerprint() in done.out
    assert done.out.splitlines()[-1].startswith("sound: to the last byte")
    report.write_bytes(extended(report.read_bytes()))
    done = run("verify", report)
    assert (done.code, "incremental update" in done.out) == (7, True)
    answer = run("verify", report, "--json").answer()
    assert answer["sound"] is False
    assert "report-extended" in {each["code"] for each in answer["findings"]}
    report.write_bytes(b"%PDF-1.7 a letter of some length, and no report")
    assert run("verify", report).code == 7


def test_every_report_prints_the_fingerprints_of_both_keys(book: Path, tmp_path: Path) -> None:
    assert run("report", book, "-o", tmp_path / "report.pdf").code == 0
    assert run("report", book, "--html", "-o", tmp_path / "report.html").code == 0
    digits = certificate_fingerprint()
    pdf = "".join(page.extract_text() for page in PdfReader(tmp_path / "report.pdf").pages[-4:])
    page = (tmp_path / "report.html").read_text()
    for text in ("".join(pdf.split()), "".join(page.split())):
        assert signing_fingerprint() in text
        assert digits in text
    assert "pdfsig" in pdf
    assert "pdfsig" not in page


def test_json_says_where_and_which_key(book: Path, tmp_path: Path) -> None:
    key = make_key(tmp_path)
    done = run("pack", book, tmp_path / "out.zip", "--key", key, "--json")
    assert done.code == 0
    answer = done.answer()
    assert answer == {
        "pack": str(tmp_path / "out.zip"), "fingerprint": signing_fingerprint(key),
        "certificate": certificate_fingerprint(),
    }  # fmt: skip
    assert not (key_folder() / "signing-key").exists()


def test_lines_are_left_out_by_number(book: Path, tmp_path: Path) -> None:
    assert run("owner", book, "told", "a private matter", "--how", "by phone").code == 0
    entries = Journey.open(book, clock=lambda: "", user="", version="", read_only=True)
    with entries as journey:
        number = len(journey.book.entries())
    done = run("pack", book, tmp_path / "out", "--leave-out", str(number))
    assert done.code == 0
    assert "no report is in it: it would tell of the lines that stay here" in done.out
    assert certificate_fingerprint() not in done.out
    whole = b"".join(p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file())
    assert b"private matter" not in whole
    verified = run("verify", tmp_path / "out")
    assert verified.code == 0
    assert verified.out.splitlines()[-1].startswith("sound as far as the lines in it go")


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["--leave-out", "1"], 2, "can't be left out"),
        (["--leave-out", "9999"], 2, "no entry"),
        (["--key", "nothing"], 2, "can't be read"),
    ],
)
def test_what_cannot_be_packed_is_said(
    book: Path, tmp_path: Path, words: list[str], code: int, told: str
) -> None:
    done = run("pack", book, tmp_path / "out.zip", *words)
    assert (done.code, told in done.err) == (code, True), done.err
    assert not (tmp_path / "out.zip").exists()


def test_a_place_that_is_taken_is_not_overwritten(book: Path, tmp_path: Path) -> None:
    (tmp_path / "out.zip").write_text("mine")
    done = run("pack", book, tmp_path / "out.zip")
    assert (done.code, "not overwritten" in done.err) == (2, True)
    done = run("pack", book, book / "out.zip")
    assert (done.code, "inside the book" in done.err) == (2, True)


def test_a_journey_can_be_stopped_while_it_packs(book: Path, tmp_path: Path) -> None:
    asked: list[str] = []
    journey = Journey.open(
        book, clock=lambda: "2026-03-05T16:40:00+01:00", user="A. Fitter", version="0.1.0"
    )
    with journey, pytest.raises(PackStopped, match="stopped"):
        journey.pack(
            tmp_path / "out.zip",
            progress=lambda _done, _of, words: asked.append(words),
            stop=lambda: len(asked) > 12,
        )
    assert len(asked) == 13
    assert {path.name for path in tmp_path.iterdir()} == {"book"}


@pytest.mark.parametrize("words", [["--help"], ["pack", "--help"], ["verify", "--help"]])
def test_help_loads_no_cryptography(words: list[str]) -> None:
    code = (
        "import sys\nfrom capture.__main__ import main\n"
        f"main({words!r})\nprint('LOADED', 'cryptography' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(__file__).parents[2], capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "LOADED False"


def test_a_report_as_a_page_and_what_is_not_there_are_said_to_be_so(tmp_path: Path) -> None:
    page = tmp_path / "report.html"
    page.write_text("<!DOCTYPE html>", encoding="utf-8")
    done = run("verify", page)
    assert (done.code, done.out) == (3, "")
    assert "a report as a page is not signed: verify the book, its pack or the PDF" in done.err
    done = run("verify", tmp_path / "gone")
    assert done.code == 3
    assert "gone: name a book's folder, a pack or a report's PDF" in done.err
