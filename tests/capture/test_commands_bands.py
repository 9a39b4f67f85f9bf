"""A check with a table: the terminal says the band in words, as window and report do."""

from pathlib import Path

import pytest

from tests.capture.command import run

PLAN = """
format = 1
[job]
number = "B-1"
engine = "two-cylinder pump"
customer = "Ada Quill"
shop = "Back Lane Bench"

[[location]]
id = "Z1"
name = "Cylinder 1"

  [[location.check]]
  id = "gap"
  kind = "length"
  question = "Gap of the top ring?"
  bands = [
    { name = "standard ring", at_most = "0.40 mm" },
    { name = "next ring", at_least = "0.40 mm", at_most = "0.60 mm" },
  ]

  [[location.check]]
  id = "step"
  kind = "computed"
  question = "Half of it?"
  formula = "Z1.gap / 2"
  bands = [ { name = "thin shim", at_most = "0.25 mm" } ]
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    assert run("start", tmp_path / "plan.toml", tmp_path / "book", "--by", "Ann").code == 0
    return tmp_path / "book"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("0.33 mm", "by the table: standard ring"),
        ("0.398 mm +- 0.01 mm", "by the table: standard ring; may also be next ring"),
        ("0.70 mm", "by the table: 0.7 mm lies above the table, which ends at 0.6 (next ring)"),
    ],
)
def test_the_band_is_said_in_words_wherever_the_value_is(book: Path, typed: str, said: str) -> None:
    filed = run("reading", book, "Z1.gap", typed)
    assert f"Z1.gap: no limit, {typed} ({said})" in filed.out
    for verb in (["round", book], ["check", book, "Z1.gap"]):
        told = run(*verb)
        assert said in told.out
        assert "Banded" not in told.out


def test_a_worked_out_value_has_its_band_too(book: Path) -> None:
    run("reading", book, "Z1.gap", "0.33 mm")
    assert "(by the table: thin shim)" in run("check", book, "Z1.step").out


def test_programs_get_the_band_and_what_else_it_may_be(book: Path) -> None:
    run("reading", book, "Z1.gap", "0.398 mm +- 0.01 mm")
    (only,) = run("check", book, "Z1.gap", "--json").answer()["all_attempts"]
    assert only["band"] == {"name": "standard ring", "why": "", "also": ["next ring"]}
    assert "Banded" not in only["said"]
