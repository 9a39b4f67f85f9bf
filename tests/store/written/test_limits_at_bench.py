"""Limits given and changed at the bench: judged again, both verdicts kept, waivers fall."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from annotate.quantity import Quantity
from store.book import Book
from store.change import DecidingSet, LimitSet
from store.characteristic import Limit
from store.errors import BadAct, BadPlan
from store.evidence import Judged
from store.written import acts
from tests.store.bench_job import (
    OWN,
    begin,
    change,
    journal,
    limit,
    mm,
    read,
    sound,
    state,
    strike_last,
    unproven,
    waive,
)
from tests.store.small_job import WHO, file_photo
from tests.store.standings.test_seconds import first_marks


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book
        assert sound(the_book)


def fit_tight(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.3)


def test_a_changed_limit_judges_again_and_both_verdicts_are_kept(book: Book) -> None:
    fit_tight(book)
    assert state(book, "G3.nip") == "outside"
    change(book, LimitSet("G3.nip", limit(0.5)))
    check = book.round().check("G3.nip")
    assert check.state == "within"
    judged = [e.evidence for e in book.entries() if isinstance(e.evidence, Judged)]
    assert [j.verdict.state for j in judged if j.key == "G3.nip"] == ["outside", "within"]
    assert check.current is not None
    assert [verdict.state for _, verdict in check.current.earlier_verdicts] == ["outside"]


def test_a_changed_limit_needs_a_reason_and_the_one_asked_for_does_not(book: Book) -> None:
    for what in (
        LimitSet("G3.nip", limit(0.5)),
        LimitSet("G3.bore", limit(0.5)),
        LimitSet("M1.bolts", None),
        DecidingSet("J1.size", "wear"),
    ):
        with pytest.raises(BadAct, match="is changed: say why"):
            change(book, what, " ")
    assert len(book.entries()) == 1
    change(book, LimitSet("M1.bolts", Limit("manual p. 4", Quantity(90.0, "N.m"))), "")
    with pytest.raises(BadAct, match="say why"):
        change(book, LimitSet("M1.bolts", Limit("manual p. 5", Quantity(80.0, "N.m"))), "")


def test_a_value_that_comes_back_is_judged_by_the_limit_that_holds_now(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.15)
    assert state(book, "G3.nip") == "within"
    read(book, "G3.plug", 24.05)
    change(book, LimitSet("G3.nip", limit(0.1)), "tighter by the supplement")
    assert state(book, "G3.nip") == "within"
    strike_last(book, "G3.plug")
    # 0.15 was within 0.02 to 0.2, and is not below 0.1
    assert state(book, "G3.nip") == "outside"
    change(book, LimitSet("G3.bore", limit(24.5)), "asked by the owner")
    assert state(book, "G3.bore") == "within"


def test_a_photo_filed_again_brings_its_marks_back_judged_by_the_limit_of_now(book: Book) -> None:
    photo = first_marks(book)
    assert state(book, "OH1.cover") == "within"
    filing = next(e for e in book.entries() if e.kind == "photo taken")
    acts.strike(book, filing.hash, "that is the second hole", **WHO)
    change(book, LimitSet("OH1.cover", limit(2.0, "%")))
    file_photo(book, "OH1", "with scale")
    assert book.round().check("OH1.cover").current is not None
    assert state(book, "OH1.cover") == "outside"
    assert photo


def test_a_limit_taken_away_leaves_a_value_without_a_verdict(book: Book) -> None:
    fit_tight(book)
    change(book, LimitSet("G3.nip", None), "the maker gives no figure")
    assert state(book, "G3.nip") == "no limit"
    change(book, LimitSet("G3.nip", limit(0.2)), "found on page 9")
    assert state(book, "G3.nip") == "outside"


def test_the_new_and_the_wear_limit_both_judge_and_one_decides(book: Book) -> None:
    worn = {("front", "X"): 59.93, ("front", "Y"): 59.93, ("rear", "X"): 59.93,
            ("rear", "Y"): 59.93}  # fmt: skip
    journal(book, worn)
    current = book.round().check("J1.size").current
    assert current is not None
    assert (current.verdict.state, current.other.state) == ("outside", "within")
    change(book, DecidingSet("J1.size", "wear"), "used again")
    current = book.round().check("J1.size").current
    assert current is not None
    assert (current.verdict.state, current.other.state) == ("within", "outside")
    with pytest.raises(BadPlan, match="judged by a wear limit that is not given"):
        change(book, LimitSet("J1.size", None, "wear"))
    change(book, LimitSet("J1.size", Limit(OWN, at_least=mm(59.95)), "wear"), "supplement 2")
    assert state(book, "J1.size") == "outside"


def test_what_is_asked_for_is_unproven_until_it_is_given_or_taken_away(book: Book) -> None:
    read(book, "M1.bolts", 95.0, unit="N.m")
    assert unproven(book, "caps")["M1.bolts"] == [
        "no limit: no limit was given yet (the torque of the cap bolts)"
    ]
    change(book, LimitSet("M1.bolts", None), "the maker gives no figure")
    assert "M1.bolts" not in unproven(book, "caps")


def test_a_limit_given_for_what_was_asked_judges_what_was_read(book: Book) -> None:
    read(book, "M1.bolts", 95.0, unit="N.m")
    given = Limit("manual p. 4", Quantity(90.0, "N.m"), Quantity(100.0, "N.m"))
    change(book, LimitSet("M1.bolts", given), "")
    assert state(book, "M1.bolts") == "within"
    assert "M1.bolts" not in unproven(book, "caps")


def test_a_waiver_falls_when_the_limit_it_was_given_under_changes(book: Book) -> None:
    fit_tight(book)
    waive(book, "lid", "G3.nip")
    change(book, LimitSet("G3.nip", limit(0.25)))
    check = book.round().check("G3.nip")
    assert (check.state, check.waiver) == ("outside", None)
    assert [w.state for w in check.waivers] == ["outside"]
    assert unproven(book, "lid")["G3.nip"] == ["outside"]


def test_a_waiver_keeps_the_word_it_was_given_for(book: Book) -> None:
    fit_tight(book)
    waive(book, "lid", "G3.nip")
    change(book, LimitSet("G3.nip", limit(0.5)))
    (waived,) = book.round().check("G3.nip").waivers
    assert (state(book, "G3.nip"), waived.state, waived.stands) == ("within", "outside", False)


def test_the_first_wear_limit_beside_a_new_one_needs_no_reason(book: Book) -> None:
    change(book, LimitSet("G3.nip", limit(0.5), "wear"), "")
    with pytest.raises(BadAct, match="is changed: say why"):
        change(book, LimitSet("G3.nip", limit(0.6), "wear"), "")
