"""The blank build sheet on the command line."""

import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.capture.command import run
from tests.capture.full_plan import FULL
from tests.capture.small_plan import PLAN


@pytest.fixture
def book(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN, encoding="utf-8")
    root = tmp_path / "book"
    assert run("start", plan, root, "--by", "Ann").code == 0
    return root


def words(pdf: Path) -> str:
    text = " ".join(page.extract_text() for page in PdfReader(pdf).pages)
    return re.sub(r"[\s\u00a0]+", " ", text.replace("\u200b", ""))


def test_a_sheet_of_a_book_is_of_its_plan_as_it_stands(book: Path, tmp_path: Path) -> None:
    run("change", book, "rename", "P1", "--name", "Left core plug")
    done = run("sheet", book, "-o", tmp_path / "sheet.pdf")
    assert (done.code, done.out) == (0, f"sheet {tmp_path / 'sheet.pdf'}\n")
    text = words(tmp_path / "sheet.pdf")
    assert "Left core plug" in text
    assert "The plan as it stood after 2 entries" in text


def test_a_sheet_of_a_plan_needs_no_book(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    out = tmp_path / "sheet.pdf"
    answer = run("sheet", tmp_path / "plan.toml", "-o", out, "--json").answer()
    assert answer == {"sheet": str(out), "checks": 6}
    assert "benchproof reading BOOK P1.bore TEXT" in words(out)
    pieces = run("sheet", "cam-tunnel", "-o", tmp_path / "cam.pdf", "--each", "cam=1")
    assert (pieces.code, "--number" in pieces.err) == (2, True)


def test_what_was_filled_in_is_entered_and_the_next_sheet_asks_for_the_rest(
    book: Path, tmp_path: Path
) -> None:
    """The whole way of a sheet: printed, filled in by hand, entered as its commands say."""
    run("sheet", book, "-o", tmp_path / "first.pdf")
    by_hand = {"P1.bore": "31.412 mm", "P1.plug": "31.480 mm", "P1.clean": "yes"}
    commands = re.findall(r"benchproof reading (\S+) (\S+) TEXT", words(tmp_path / "first.pdf"))
    assert [key for _, key in commands] == ["P1.bore", "P1.plug", "P1.depth", "P1.clean"]
    for _, key in commands:
        if key in by_hand:
            done = run("reading", book, key, by_hand[key], "--read-at", "on paper, 10:40")
            assert done.code in {0, 3}, done.err
    left = run("sheet", book, "--missing", "-o", tmp_path / "left.pdf", "--json").answer()
    assert left["checks"] == 2
    text = words(tmp_path / "left.pdf")
    assert "P1.depth" in text
    assert "P1.bore" not in text.split("When the boxes are filled", maxsplit=1)[0]


def test_nothing_is_printed_when_nothing_is_left(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    one = PLAN[: PLAN.index("[[location]]")] + (
        '[[location]]\nid = "P1"\nname = "Plug"\n[[location.check]]\nid = "clean"\n'
        'kind = "yes-no"\nquestion = "Clean?"\n'
    )
    plan.write_text(one, encoding="utf-8")
    run("start", plan, tmp_path / "book")
    run("reading", tmp_path / "book", "P1.clean", "yes")
    done = run("sheet", tmp_path / "book", "--missing", "-o", tmp_path / "s.pdf")
    assert (done.code, "every check" in done.err) == (2, True)
    assert not (tmp_path / "s.pdf").exists()


def test_a_sheet_never_destroys_another_file_and_never_lies_in_a_book(
    book: Path, tmp_path: Path
) -> None:
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    assert run("sheet", book, "-o", tmp_path / "notes.txt").code == 2
    assert (tmp_path / "notes.txt").read_text(encoding="utf-8") == "mine"
    assert run("sheet", book, "-o", book / "sheet.pdf").code == 2
    assert run("sheet", tmp_path / "plan.toml", "--missing", "-o", tmp_path / "s.pdf").code == 2


def test_the_commands_on_a_sheet_are_commands(tmp_path: Path) -> None:
    """Each verb on it is one, and takes each option that stands behind it."""
    (tmp_path / "full.toml").write_text(FULL, encoding="utf-8")
    run("sheet", tmp_path / "full.toml", "-o", tmp_path / "s.pdf")
    text = words(tmp_path / "s.pdf")
    named = set(re.findall(r"benchproof (\w+)", text))
    assert named == {"reading", "coverage", "photo", "plug", "debris", "part", "close", "paper"}
    for verb, rest in re.findall(
        r"benchproof (\w+)((?: --?[a-z-]+| [A-Z]\S*| fitted| out)*)", text
    ):
        helped = run(verb, "--help")
        assert helped.code == 0
        for option in re.findall(r"--[a-z-]+", rest):
            assert option in helped.out, f"{verb} {option}"


def test_a_book_whose_name_has_a_blank_is_quoted(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    run("start", tmp_path / "plan.toml", tmp_path / "job 12")
    run("sheet", tmp_path / "job 12", "-o", tmp_path / "s.pdf")
    assert "benchproof reading 'job 12' P1.bore TEXT" in words(tmp_path / "s.pdf")
