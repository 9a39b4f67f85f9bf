"""benchproof report --html: where the page goes, what it refuses, what it says to programs."""

import json
from pathlib import Path

import pytest

from tests.capture.command import SAMPLES, run
from tests.store.report.report_page import Page

PLAN = Path(__file__).parents[2] / "capture/plans/demo.toml"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    assert run("start", PLAN, root, "--by", "A. Fitter").code == 0
    assert (
        run("photo", root, SAMPLES / "bearing-1.jpg", "--at", "B1", "--role", "overall").code == 0
    )
    assert run("reading", root, "T1.end-float", "0.20 mm").code == 0
    return root


def test_the_page_lies_beside_its_book_and_shows_its_photo(book: Path) -> None:
    done = run("report", book, "--html")
    target = book.with_name("book-report.html")
    assert (done.code, done.out) == (0, f"report {target}\n")
    page = Page(target.read_text("utf-8"))
    assert page.faults == []
    assert "0.20 mm" in page.text  # as it was typed
    assert any("overall" in each.attributes["alt"] for each in page.all("img"))


def test_it_goes_where_it_is_told_and_says_so_to_programs(book: Path, tmp_path: Path) -> None:
    target = tmp_path / "for-the-phone.html"
    done = run("report", book, "--html", "-o", target, "--budgets", "--json")
    assert done.code == 0
    assert json.loads(done.out)["report"] == str(target)
    assert "Uncertainty budgets" in target.read_text("utf-8")
    # A newer page takes the place of an older one.
    assert run("report", book, "--html", "-o", target).code == 0
    assert "Uncertainty budgets" not in target.read_text("utf-8")


def test_a_page_has_no_paper(book: Path) -> None:
    done = run("report", book, "--html", "--paper", "a4")
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
    assert "--paper is for the PDF" in done.err


def test_a_page_overwrites_nothing_else_and_a_pdf_no_page(book: Path, tmp_path: Path) -> None:
    letter = tmp_path / "letter.html"
    letter.write_text("dear owner", encoding="utf-8")
    done = run("report", book, "--html", "-o", letter)
    assert done.code == 2
    assert "is not an HTML page" in done.err
    assert letter.read_text(encoding="utf-8") == "dear owner"
    page = tmp_path / "page.html"
    assert run("report", book, "--html", "-o", page).code == 0
    assert "is not a PDF" in run("report", book, "-o", page).err
    inside = run("report", book, "--html", "-o", book / "page.html")
    assert (inside.code, "is inside the book" in inside.err) == (2, True)
