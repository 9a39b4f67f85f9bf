"""Standard sizes and part fits on the command line. An inch is exactly 25.4 mm (1959)."""

import pytest

from tests.capture.command import run


def test_the_nearest_standard_size_is_named_with_how_far_it_is() -> None:
    done = run("sizes", "31.748 mm")
    assert done.code == 0
    first = done.out.splitlines()[1]
    # 1 1/4 in is 1.25 x 25.4 = 31.75 mm.
    assert "1 1/4 in or 31.75 mm: measured 0.002 mm below it" in first
    assert "taken as rounded" in done.err


def test_sizes_answer_programs_the_likeliest_first() -> None:
    answer = run("sizes", "1.247 in", "--gauge-error", "0.003 in", "--json").answer()
    odds = [size["probability"] for size in answer["sizes"]]
    assert odds == sorted(odds, reverse=True)
    assert answer["sizes"][0]["mm"] == pytest.approx(31.75)
    # A rectangle of half width a has a standard uncertainty of a / sqrt(3) (JCGM 100 4.3.7);
    # the typed last step, 0.0005 in, adds its own in quadrature.
    a, b = 0.003 * 25.4, 0.0005 * 25.4
    assert answer["measured"]["u"] == pytest.approx(((a * a + b * b) / 3) ** 0.5)


def test_a_worse_gauge_leaves_more_sizes_open() -> None:
    fine = run("sizes", "31.62 mm", "--json").answer()["sizes"]
    coarse = run("sizes", "31.62 mm", "--gauge-error", "0.3 mm", "--json").answer()["sizes"]
    assert sum(size["agrees"] for size in fine) < sum(size["agrees"] for size in coarse)
    assert coarse[0]["probability"] < fine[0]["probability"]


def test_a_diameter_that_is_no_standard_size_is_told_so() -> None:
    done = run("sizes", "31.62 mm +- 0.01 mm")
    assert "none of them fits what was measured" in done.out


def test_other_series_are_asked_for_by_name() -> None:
    # Letter drill F is 0.257 in (ASME B94.11M, from memory).
    answer = run("sizes", "0.257 in", "--series", "letter drill", "--count", "1", "--json").answer()
    assert [size["name"] for size in answer["sizes"]] == ["letter F drill"]
    wrong = run("sizes", "0.257 in", "--series", "shoe")
    assert (wrong.code, "'shoe' is not one of inch, metric" in wrong.err) == (2, True)


@pytest.mark.parametrize("text", ["0 mm", "about 3", "3 psi", "-2 mm"])
def test_what_is_no_diameter_is_one_sentence(text: str) -> None:
    done = run("sizes", text)
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)


@pytest.mark.parametrize(
    ("part", "code", "state"),
    [
        ("36.61 mm", 0, "within"),  # 0.13 mm of press fit
        ("37.10 mm", 5, "outside"),  # 0.62 mm
        ("36.68 mm", 4, "too close to call"),  # 0.20 mm: on the limit itself
    ],
)
def test_a_fit_is_judged_before_the_hammer(part: str, code: int, state: str) -> None:
    done = run("fits", part, "36.48 mm", "--wanted", "0.05-0.20 mm")
    assert done.code == code
    assert done.out.splitlines()[0].split(": ")[1].startswith(state)
    assert "caution: the maker's figure for the fit comes first" in done.out


def test_a_part_of_a_wrong_size_is_told_with_how_many_times_it_is_too_tight() -> None:
    done = run("fits", "38.08 mm", "36.48 mm", "--wanted", "0.05-0.20 mm")
    # (38.08 - 36.48) / 0.20 = 8
    assert "about 8 times the most wanted" in done.out
    assert "1 1/2 in" in done.out  # 38.10 mm
    assert "look for a wrong size in the kit" in done.out


def test_inches_and_a_clearance() -> None:
    done = run("fits", "1.8880 in", "1.8904 in", "--clearance", "--wanted", "1-4 thou", "--json")
    answer = done.answer()
    assert (done.code, answer["kind"], answer["state"]) == (0, "clearance", "within")
    assert answer["value"]["unit"] == "in"
    assert answer["value"]["value"] == pytest.approx(0.0024)


def test_the_old_part_stands_beside_the_new() -> None:
    done = run("fits", "36.61 mm", "36.48 mm", "--old", "36.58 mm")
    assert done.code == 0
    assert "the new part is 0.03" in done.out
    assert "larger than the old" in done.out
    assert "no fit was asked for" in done.out
    answer = run("fits", "36.61 mm", "36.48 mm", "--old", "36.58 mm", "--json").answer()
    assert answer["old"]["value"] == pytest.approx(0.03)
    assert answer["state"] is None


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        ("0.05-0.20 mm (0.002-0.080 in)", "apart"),
        ("tight", "does not start with a number"),
        ("3 psi", "psi"),
    ],
)
def test_a_fit_that_cannot_be_wanted_is_one_sentence(wanted: str, told: str) -> None:
    done = run("fits", "36.61 mm", "36.48 mm", "--wanted", wanted)
    assert (done.code, done.err.count("\n")) == (2, 1)
    assert "--wanted" in done.err
    assert told in done.err


def test_a_diameter_without_its_unit_is_told_as_assumed() -> None:
    assert "unit assumed, mm" in run("fits", "36.61", "36.48 mm").err
