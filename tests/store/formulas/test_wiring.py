"""What is worked out from what, told from a plan alone."""

import pytest

from annotate.quantity import Quantity
from store.change import CheckAdded, changed
from store.characteristic import Characteristic, Spot
from store.formulas.wiring import Wire, Wiring
from store.plan import Location, Plan
from tests.store.bench_job import computed, length, plan


def wired(*checks: Characteristic) -> Wiring:
    return Wiring(Plan(job=plan().job, locations=(Location("L", "l", checks),)))


def agreement(name: str, first: str, second: str) -> Characteristic:
    return Characteristic(id=name, kind="agreement", question="?", unit="1", of=(first, second))


def test_a_grid_rests_on_its_spots_in_the_order_they_are_read() -> None:
    grid = length("g", positions=("top", "low"), axes=("X", "Y"), repeats=2)
    spots = [wire.spot for wire in wired(grid).inputs["L.g"]]
    assert [(s.repeat, s.position, s.axis) for s in spots if s] == [
        (1, "top", "X"), (1, "top", "Y"), (1, "low", "X"), (1, "low", "Y"),
        (2, "top", "X"), (2, "top", "Y"), (2, "low", "X"), (2, "low", "Y"),
    ]  # fmt: skip


def test_what_is_typed_rests_on_nothing() -> None:
    assert wired(length("a")).inputs == {}


def test_a_formula_rests_on_each_name_once_in_the_order_they_stand() -> None:
    wiring = wired(length("a"), length("b"), computed("c", "L.b + 2 * (L.a - L.b)"))
    assert wiring.inputs["L.c"] == (Wire("L.b"), Wire("L.a"))


def test_a_name_with_brackets_rests_on_the_spots_it_chooses() -> None:
    grid = length("g", positions=("top", "low"), axes=("X", "Y"))
    wiring = wired(grid, computed("c", "L.g[top] - L.g[low, X]"), computed("d", "mean(L.g)"))
    assert [wire.spot for wire in wiring.inputs["L.c"]] == [
        Spot("top", "X"), Spot("top", "Y"), Spot("low", "X"),
    ]  # fmt: skip
    assert len(wiring.inputs["L.d"]) == 4
    assert wiring.users["L.g"] == ["L.c", "L.d"]


def test_an_agreement_rests_on_two_routes_with_their_parts() -> None:
    hole = Characteristic(
        id="hole", kind="coverage", question="?", unit="%", near_diameter=Quantity(7.0, "mm")
    )
    wiring = wired(hole, length("pin"), agreement("both", "L.hole.pin", "L.pin"))
    assert wiring.inputs["L.both"] == (Wire("L.hole", "pin"), Wire("L.pin"))


def test_followers_are_told_near_before_far_and_each_once() -> None:
    wiring = wired(
        length("a"),
        computed("b", "L.a * 2"),
        computed("c", "L.b + L.a"),
        computed("d", "L.c - L.b"),
    )
    assert wiring.followers("L.a") == ("L.b", "L.c", "L.d")
    assert wiring.followers("L.d") == ()
    assert wiring.followers("L.nothing") == ()


@pytest.mark.parametrize(
    ("formulas", "circular"),
    [
        ({"x": "L.x + L.a"}, {"L.x"}),
        ({"x": "L.y + L.a", "y": "L.z", "z": "L.x"}, {"L.x", "L.y", "L.z"}),
        ({"x": "L.y", "y": "L.x", "z": "L.y + L.a"}, {"L.x", "L.y"}),  # z only leads there
        ({"x": "((("}, {"L.x"}),
        ({"x": "L.none + L.a"}, set()),
        ({"x": "L.a + L.a"}, set()),
    ],
)
def test_what_is_worked_out_from_itself_is_found(
    formulas: dict[str, str], circular: set[str]
) -> None:
    wiring = wired(length("a"), *(computed(name, text) for name, text in formulas.items()))
    assert wiring.circular == circular
    for key in wiring.checks:
        assert key not in wiring.followers(key)


def test_a_grid_is_not_a_circle_and_neither_is_what_uses_it_twice() -> None:
    grid = length("g", repeats=3)
    wiring = wired(grid, computed("c", "L.g - L.g"), computed("d", "L.c + L.g"))
    assert wiring.circular == frozenset()


def test_a_circle_of_agreements_and_formulas_is_found() -> None:
    here = Location("L", "l", (length("a"), computed("x", "L.y")))
    before = Plan(job=plan().job, locations=(here,))
    after = changed(before, CheckAdded("L", agreement("y", "L.x", "L.a")))
    assert Wiring(after).circular == {"L.x", "L.y"}
