"""Texts of the plan's forms -> changes, each refusal at its field."""

from typing import get_args

import pytest

from capture.desk.job.typed_plan import (
    ASKED_OF,
    assumed_words,
    check_added,
    hold_added,
    limit_changes,
    location_added,
    moved,
    renamed,
)
from capture.errors import Unfit
from capture.plans.reader import parse_plan
from store.change import (
    CheckAdded,
    DecidingSet,
    HoldAdded,
    LimitSet,
    LocationAdded,
    LocationMoved,
    changed,
)
from store.characteristic import Kind
from tests.capture.bench_plan import BENCH_PLAN

PLAN = parse_plan(BENCH_PLAN.encode(), "plan.toml")
JOB = PLAN.job
CHECK = {"location": "G3", "id": "depth", "question": "How deep?", "kind": "depth"}


def test_a_location_with_what_belongs_there() -> None:
    texts = {"id": "G9", "name": "Rear plug", "what": "plug", "after": "G2", "near": "", "far": "x"}
    change = location_added(texts)
    assert isinstance(change, LocationAdded)
    assert (change.location.plug, change.location.gallery, change.location.far) == (
        True,
        False,
        "x",
    )
    assert change.location.near == "bearing hole"
    ids = [at.id for at in changed(PLAN, change).locations]
    assert ids.index("G9") == ids.index("G2") + 1


@pytest.mark.parametrize(
    ("texts", "fields"),
    [({}, {"id", "name"}), ({"id": "G 9", "name": "x"}, {"id"}), ({"id": "G9"}, {"name"})],
)
def test_a_location_that_says_too_little(texts, fields) -> None:
    with pytest.raises(Unfit) as refused:
        location_added(texts)
    assert set(refused.value.fields) == fields


def test_every_kind_is_asked_what_it_needs() -> None:
    assert set(ASKED_OF) == set(get_args(Kind))


def test_a_grid_of_depths() -> None:
    texts = {**CHECK, "datum": "rear face", "positions": "up, down", "repeats": "2", "unit": "in"}
    change = check_added(texts, JOB)
    assert isinstance(change, CheckAdded)
    check = change.check
    assert (check.positions, check.repeats, check.unit) == (("up", "down"), 2, "in")
    assert check.datum == "rear face"


def test_a_computed_check_and_an_agreement() -> None:
    formula = {**CHECK, "kind": "computed", "formula": "M1.bore - M1.journal"}
    assert check_added(formula, JOB).check.formula == "M1.bore - M1.journal"
    routes = {**CHECK, "kind": "agreement", "of_one": "M1.bore", "of_other": "M1.strip"}
    assert check_added(routes, JOB).check.of == ("M1.bore", "M1.strip")


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"id": "not an id", "datum": "face"}, "id"),
        ({"datum": ""}, "datum"),
        ({"datum": "face", "unit": "parsec"}, "unit"),
        ({"datum": "face", "repeats": "some"}, "repeats"),
        ({"kind": "computed", "formula": ""}, "formula"),
        ({"kind": "agreement", "of_one": "M1.bore"}, "of_other"),
        ({"kind": "coverage", "wall": "thick"}, "wall"),
        ({"question": " "}, "question"),
    ],
)
def test_each_refusal_of_a_check_names_its_field(texts, field) -> None:
    with pytest.raises(Unfit) as refused:
        check_added({**CHECK, **texts}, JOB)
    assert list(refused.value.fields) == [field]
    assert refused.value.fields[field]


def test_renaming_needs_a_name() -> None:
    assert renamed({"name": "Rear"}, "G1").name == "Rear"
    with pytest.raises(Unfit):
        renamed({"name": "  "}, "G1")


@pytest.mark.parametrize(
    ("location", "steps", "order"),
    [
        ("G1", 1, ["G2", "G1", "G3", "M1", "S1"]),
        ("G2", -1, ["G2", "G1", "G3", "M1", "S1"]),
        ("S1", -1, ["G1", "G2", "G3", "S1", "M1"]),
    ],
)
def test_a_location_walks_one_earlier_or_later(location, steps, order) -> None:
    change = moved(PLAN, location, steps)
    assert isinstance(change, LocationMoved)
    assert [at.id for at in changed(PLAN, change).locations] == order


def test_the_ends_stay() -> None:
    assert moved(PLAN, "G1", -1) is None
    assert moved(PLAN, "S1", 1) is None


def limit_texts(**texts: str) -> dict[str, str]:
    return {"there": "", "which": "new", "decides": "new", "reason": "", **texts}


def test_a_limit_in_figures() -> None:
    texts = limit_texts(at_least="0.03 mm", at_most="0.05 mm", source="manual, page 41")
    (change,) = limit_changes(texts, "M1.clearance", PLAN)
    assert isinstance(change, LimitSet)
    assert (change.limit.at_least.value, change.limit.at_most.value) == (0.03, 0.05)
    assert change.limit.source == "manual, page 41"


def test_a_print_in_two_units_that_agree() -> None:
    texts = limit_texts(printed="0.03-0.05 mm (0.0012-0.0020 in)", source="manual, page 41")
    (change,) = limit_changes(texts, "M1.clearance", PLAN)
    assert (change.limit.at_least.value, change.limit.at_most.value) == (0.03, 0.05)


def test_a_print_whose_two_units_disagree_is_told_with_both() -> None:
    """0.05 mm is 0.00197 in; a source that prints 0.0200 in dropped a nought."""
    texts = limit_texts(printed="0.03-0.05 mm (0.0012-0.0200 in)", source="manual, page 41")
    with pytest.raises(Unfit) as refused:
        limit_changes(texts, "M1.clearance", PLAN)
    assert "0.0200 in" in refused.value.fields["printed"]
    assert "at_least" not in refused.value.fields["printed"]  # the field is called "at least"
    settled = {**texts, "at_least": "0.03 mm", "at_most": "0.05 mm", "settled": "mm: the sum fits"}
    (change,) = limit_changes(settled, "M1.clearance", PLAN)
    assert change.limit.settled == "mm: the sum fits"


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({}, "at_least"),
        ({"at_least": "0.03 mm"}, "source"),
        ({"at_least": "0.03 mm (0.0012 in)", "source": "x"}, "at_least"),
        ({"at_most": "thin", "source": "x"}, "at_most"),
        ({"at_least": "0.06 mm", "at_most": "0.05 mm", "source": "x"}, "at_least"),
        ({"at_most": "5 N.m", "source": "x"}, "at_most"),
        ({"there": "none"}, "reason"),
    ],
)
def test_each_refusal_of_a_limit_names_its_field(texts, field) -> None:
    with pytest.raises(Unfit) as refused:
        limit_changes(limit_texts(**texts), "M1.clearance", PLAN)
    assert list(refused.value.fields) == [field]


def test_a_limit_is_taken_away_and_another_decides() -> None:
    (change,) = limit_changes(limit_texts(there="none", reason="none given"), "M1.clearance", PLAN)
    assert change == LimitSet("M1.clearance", None, "new")
    wear = limit_texts(which="wear", at_most="0.09 mm", source="page 12", decides="wear")
    changes = limit_changes(wear, "M1.clearance", PLAN)
    assert [type(each) for each in changes] == [LimitSet, DecidingSet]


def test_a_hold_point() -> None:
    texts = {"id": "pan", "name": "Pan", "hides": "S1, crank", "roles": "close-up", "seal": "yes"}
    change = hold_added(texts)
    assert isinstance(change, HoldAdded)
    assert (change.hold_point.hides, change.hold_point.roles) == (("S1", "crank"), ("close-up",))
    with pytest.raises(Unfit, match="portrait"):
        hold_added({**texts, "roles": "portrait"})


@pytest.mark.parametrize(
    ("key", "at_most", "words"),
    [("M1.clearance", "0.05", "mm assumed"), ("M1.clearance", "0.05 mm", ""),
     ("M1.clearance", "0.002 in", "")],
)  # fmt: skip
def test_a_bare_figure_takes_the_check_s_unit_and_it_is_said(key, at_most, words) -> None:
    texts = {"at_most": at_most, "source": "manual, page 3"}
    (change,) = limit_changes(texts, key, PLAN)
    assert isinstance(change, LimitSet)
    assert change.limit is not None
    assert change.limit.at_most.unit == ("in" if "in" in at_most else "mm")
    assert assumed_words(texts, key, PLAN) == words


def test_a_figure_that_can_t_be_read_is_refused_at_its_field() -> None:
    with pytest.raises(Unfit) as refused:
        limit_changes({"at_most": "tight", "source": "manual"}, "M1.clearance", PLAN)
    assert set(refused.value.fields) == {"at_most"}
