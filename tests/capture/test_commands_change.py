"""Changing a book's plan, and giving its limits, on the command line."""

from pathlib import Path

import pytest

from annotate.quantity import Quantity
from store.book import Book
from tests.capture.command import FILES, SAMPLES, run
from tests.capture.small_plan import PLAN

ASKING = PLAN.replace(
    'question = "Bore?"',
    'question = "Bore?"\n  limit = { ask = "maker\'s figure and page: core plug bore" }',
)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(ASKING, encoding="utf-8")
    root = tmp_path / "book"
    assert run("start", plan, root, "--by", "Ann").code == 0
    return root


def test_a_plan_is_changed_piece_by_piece_and_shows_its_changes(book: Path) -> None:
    change = ("change", book)
    steps = (
        (*change, "add-location", "P2", "--name", "Core plug 2", "--after", "C1", "--plug",
         "--group", "core plugs", "--reason", "found behind paint"),
        (*change, "add-check", "P2", "bore", "--kind", "length", "--question", "Bore?",
         "--positions", "outer,inner", "--axes", "up,across", "--repeats", "2",
         "--take", "largest", "--gauge", "mic-1", "--by", "Bo"),
        (*change, "add-check", "P2", "step", "--kind", "computed", "--question", "Step?",
         "--formula", "P2.bore - P1.bore", "--asks", "maker's figure and page: step"),
        (*change, "add-check", "P2", "agree", "--kind", "agreement", "--question", "One size?",
         "--of", "P2.bore", "P1.bore"),
        (*change, "rename", "P2", "--name", "Core plug, right"),
        (*change, "move", "P2", "--after", "first"),
        (*change, "add-hold", "sump", "--name", "Sump goes on", "--hides", "P2,cover",
         "--roles", "close-up", "--seal", "--caution", "Two people lift it."),
        (*change, "add-kit", "plugs", "--name", "Core plugs", "--count", "2", "--size", "31.5 mm"),
        (*change, "add-part", "plug-2", "--name", "Plug", "--location", "P2", "--kit", "plugs"),
    )  # fmt: skip
    for words in steps:
        done = run(*words)
        assert done.code == 0, done.err
    with Book.open(book, read_only=True) as opened:
        plan = opened.plan
        assert [location.id for location in plan.locations] == ["P2", "C1", "P1"]
        assert plan.location("P2").name == "Core plug, right"
        bore = plan.characteristic("P2.bore")[1]
        assert (len(bore.spots), bore.take, bore.gauge) == (8, "largest", "mic-1")
        assert plan.characteristic("P2.step")[1].formula == "P2.bore - P1.bore"
        assert plan.hidden_by("sump") == ("P2", "P1")
        assert plan.hold_point("sump").seal
        assert plan.kit[0].size == Quantity(31.5, "mm")
        assert plan.part("plug-2").kit == "plugs"
        assert [entry.by for entry in opened.entries()][2] == "Bo"
    shown = run("plan", book)
    assert "location P2 (Core plug 2) was added after C1: found behind paint" in shown.out
    assert "location P2 is now walked first" in shown.out
    assert len(run("plan", book, "--json").answer()["changes"]) == len(steps)
    assert run("verify", book).code == 0


def test_a_change_answers_programs(book: Path) -> None:
    answer = run("change", book, "rename", "P1", "--name", "Left plug", "--json").answer()
    assert answer["change"] == "location P1 is now called Left plug"
    with Book.open(book, read_only=True) as opened:
        assert answer["hash"] == opened.entries()[-1].hash
        assert answer["entry"] == opened.entries()[-1].seq


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("add-location", "P1", "--name", "Again"), "'P1' is there twice"),
        (("add-location", "P 9", "--name", "Odd"), "is not an id"),
        (("add-location", "P9", "--name", "Odd", "--after", "P8"), "no location 'P8'"),
        (("add-check", "P9", "x", "--kind", "length", "--question", "?"), "no location 'P9'"),
        (("add-check", "P1", "bore", "--kind", "length", "--question", "?"), "is there twice"),
        (("add-check", "P1", "d", "--kind", "depth", "--question", "?"), "a depth needs 'datum'"),
        (("add-check", "P1", "u", "--kind", "length", "--question", "?", "--unit", "psi"),
         "check 'u': unit: psi is no unit for a length"),
        (("add-check", "P1", "g", "--kind", "length", "--question", "?", "--gauge", "mic-9"),
         "gauge 'mic-9' is not in the gauge list"),
        (("add-hold", "sump", "--name", "Sump", "--hides", "P7"), "hides 'P7'"),
        (("add-hold", "sump", "--name", "Sump", "--hides", "P1", "--roles", "nice"),
         "'nice' is not one of overall"),
        (("add-kit", "k", "--name", "K", "--count", "2", "--size", "3 psi"), "psi"),
        (("add-part", "p", "--name", "P", "--kit", "none"), "'none' is not in the kit list"),
        (("move", "P1", "--after", "P1"), "can't come after itself"),
        (("never-fitted", "P1", "--photo", "gone.jpg"), "name the photo of the bare place"),
    ],
)  # fmt: skip
def test_a_change_that_does_not_fit_is_one_sentence_and_keeps_nothing(
    book: Path, words: tuple[str, ...], told: str
) -> None:
    before = run("round", book, "--json").answer()["entries"]
    done = run("change", book, *words)
    assert done.code in {2, 3}
    assert told in done.err
    assert done.err.count("\n") == 1
    assert run("round", book, "--json").answer()["entries"] == before


def test_each_change_explains_itself(book: Path) -> None:
    helped = run("change", book, "add-check", "--help")
    assert helped.code == 0
    assert "--formula" in helped.out
    assert run("change", book, "add-everything").code == 2


def test_a_location_that_this_block_never_had_asks_for_nothing(book: Path) -> None:
    photo = SAMPLES / "bearing-1.jpg"
    done = run("change", book, "never-fitted", "P1", "--photo", photo)
    assert "P1 was never fitted on this block" in done.out
    with Book.open(book, read_only=True) as opened:
        place = opened.round().place("P1")
        assert place.never is not None
        assert [kept.taken.role for kept in place.photos] == ["bare bore"]
        assert all(check.excused for check in place.checks)


def test_a_photo_that_is_filed_already_is_named_by_the_start_of_its_hash(book: Path) -> None:
    run("photo", book, SAMPLES / "bearing-1.jpg", "--at", "P1", "--role", "bare bore")
    with Book.open(book, read_only=True) as opened:
        (kept,) = opened.round().place("P1").photos
    assert run("change", book, "never-fitted", "P1", "--photo", kept.taken.photo[:8]).code == 0
    again = run("change", book, "never-fitted", "P1", "--photo", SAMPLES / "bearing-1.jpg")
    assert again.code == 0
    with Book.open(book, read_only=True) as opened:
        assert len(opened.round().place("P1").photos) == 1
    assert run("change", book, "never-fitted", "C1", "--photo", kept.taken.photo[:8]).code == 2


def test_never_fitted_takes_no_photo_that_cannot_be_seen(book: Path) -> None:
    cut = FILES / "hostile" / "truncated_jpeg.jpg"
    assert run("change", book, "never-fitted", "P1", "--photo", cut).code == 3


def test_limits_still_to_be_given_are_listed_and_given_with_their_page(book: Path) -> None:
    listed = run("limit", book)
    assert listed.out == (
        "P1.bore: maker's figure and page: core plug bore\n1 limit still to be given\n"
    )
    done = run(
        "limit", book, "P1.bore", "--at-least", "31.40 mm", "--at-most", "31.43 mm",
        "--source", "manual, page 8",
    )  # fmt: skip
    assert done.code == 0
    assert "the limit of P1.bore is at least 31.4 mm and at most 31.43 mm" in done.out
    assert run("limit", book).out == "no limit is still to be given\n"
    assert run("limit", book, "--json").answer()["asks"] == []


def test_a_value_that_is_there_is_judged_again_and_the_exit_code_says_how(book: Path) -> None:
    run("reading", book, "P1.depth", "3.0 mm BELOW")
    narrower = run(
        "limit", book, "P1.depth", "--at-most", "2.5 mm", "--source", "page 9",
        "--reason", "the page for this serial number", "--json",
    )  # fmt: skip
    assert narrower.code == 5
    assert narrower.answer()["state"] == "outside"
    wider = run(
        "limit", book, "P1.depth", "--at-most", "0.2 in", "--source", "page 9", "--reason", "again"
    )
    assert wider.code == 0


def test_a_changed_limit_needs_its_reason_and_a_limit_its_source(book: Path) -> None:
    silent = run("limit", book, "P1.depth", "--at-most", "5 mm", "--source", "page 9")
    assert (silent.code, "say why, with --reason" in silent.err) == (2, True)
    baseless = run("limit", book, "P1.depth", "--at-most", "5 mm", "--reason", "new page")
    assert (baseless.code, "lacks --source" in baseless.err) == (2, True)


def test_a_limit_printed_in_two_units_that_disagree_is_asked_about(book: Path) -> None:
    # 0.25 mm is 0.00984 in (an inch is exactly 25.4 mm), and not the 0.0010 in printed beside it.
    words = ("limit", book, "P1.bore", "--source", "page 3", "--printed")
    asked = run(*words, "0.10-0.25 mm (0.004-0.0010 in)")
    assert asked.code == 2
    assert "0.25 mm is 0.0098 in, printed 0.0010 in" in asked.err
    assert "--settled" in asked.err
    assert asked.err.count("\n") == 1
    assert run("limit", book, "--json").answer()["asks"] != []
    unsaid = run(*words, "0.10-0.25 mm (0.004-0.0010 in)", "--settled", "mm, inches fall")
    assert (unsaid.code, "--at-least" in unsaid.err) == (2, True)
    settled = run(
        *words, "0.10-0.25 mm (0.004-0.0010 in)", "--settled", "mm: the inches fall",
        "--at-least", "0.10 mm", "--at-most", "0.25 mm",
    )  # fmt: skip
    assert settled.code == 0
    with Book.open(book, read_only=True) as opened:
        limit = opened.plan.characteristic("P1.bore")[1].limit
        assert limit.settled == "mm: the inches fall"
        assert limit.printed == "0.10-0.25 mm (0.004-0.0010 in)"


def test_a_limit_printed_in_two_units_that_agree_gives_its_figures(book: Path) -> None:
    done = run("limit", book, "P1.bore", "--printed", "0.10-0.25 mm (0.004-0.010 in)",
               "--source", "page 3")  # fmt: skip
    assert done.code == 0
    with Book.open(book, read_only=True) as opened:
        limit = opened.plan.characteristic("P1.bore")[1].limit
        assert (limit.at_least, limit.at_most) == (Quantity(0.10, "mm"), Quantity(0.25, "mm"))


def test_typed_figures_must_be_the_printed_ones(book: Path) -> None:
    done = run("limit", book, "P1.bore", "--printed", "0.10-0.25 mm", "--at-least", "0.12 mm",
               "--at-most", "0.25 mm", "--source", "page 3")  # fmt: skip
    assert (done.code, "not what is printed" in done.err) == (2, True)


def test_a_wear_limit_stands_beside_the_new_one_until_it_is_to_decide(book: Path) -> None:
    wear = ("limit", book, "P1.depth", "--wear", "--at-most", "6 mm", "--source", "page 10")
    assert run(*wear, "--reason", "used plug").code == 0
    run("reading", book, "P1.depth", "5.0 mm BELOW")
    with Book.open(book, read_only=True) as opened:
        assert opened.round().check("P1.depth").state == "outside"
    done = run("limit", book, "P1.depth", "--judged-by", "wear", "--reason", "the old plug stays")
    assert done.code == 0
    assert "P1.depth is judged by its wear limit" in done.out


def test_that_the_maker_gives_no_figure_is_said_with_its_reason(book: Path) -> None:
    silent = run("limit", book, "P1.bore", "--none")
    assert (silent.code, "--none needs --reason" in silent.err) == (2, True)
    assert run("limit", book, "P1.bore", "--none", "--reason", "no figure in it").code == 0
    assert run("limit", book).out == "no limit is still to be given\n"
    assert "no figure in it" in run("plan", book).out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("P1.clean", "--at-most", "1 mm", "--source", "x"), "is a yes-no: it takes no limit"),
        (("P1.bore", "--at-most", "1", "--source", "x"), 'write it as "1 mm"'),
        (
            ("P1.bore", "--at-most", "1 mm (0.04 in)", "--source", "x"),
            "with --printed",
        ),
        (("P1.bore", "--at-most", "1 psi", "--source", "x"), "psi"),
        (("P1.bore", "--at-least", "2 mm", "--at-most", "1 mm", "--source", "x"), "above"),
        (("P1.bore",), "say the limit"),
        (("P1.bore", "--none", "--at-most", "1 mm"), "--none stands without figures"),
        (
            ("P1.bore", "--settled", "x", "--at-most", "1 mm", "--source", "x"),
            "--settled: settles nothing",
        ),
        (("P1.hole", "--at-most", "1 mm", "--source", "x"), "no check 'P1.hole'"),
        (("P1.bore", "--judged-by", "wear", "--reason", "x"), "has no wear limit"),
        (("--at-most", "1 mm"), "name the check"),
        (("C1.covered", "--at-most", "130 %", "--source", "x", "--reason", "y"), "100 %"),
    ],
)
def test_a_limit_that_cannot_be_is_one_sentence_and_keeps_nothing(
    book: Path, words: tuple[str, ...], told: str
) -> None:
    before = run("round", book, "--json").answer()["entries"]
    done = run("limit", book, *words)
    assert done.code == 2, done.out
    assert told in done.err
    assert done.err.count("\n") == 1
    assert run("round", book, "--json").answer()["entries"] == before


def test_a_coverages_limit_speaks_of_covered_unless_it_says_otherwise(book: Path) -> None:
    words = ("limit", book, "C1.covered", "--source", "builder's own", "--reason", "talked over")
    assert run(*words, "--at-most", "35 %").code == 0
    assert run(*words, "--at-least", "3.1 mm", "--of", "pin").code == 0
    with Book.open(book, read_only=True) as opened:
        limit = opened.plan.characteristic("C1.covered")[1].limit
        assert (limit.of, limit.at_least) == ("pin", Quantity(3.1, "mm"))
