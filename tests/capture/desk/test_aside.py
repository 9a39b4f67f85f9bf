"""Measured aside is measured the same; refusals come home whole; a dead process stops nobody."""

import os
import signal
from collections.abc import Iterator
from typing import Any

import pytest

from annotate.beside import Beside, Repeats
from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer, Rim
from annotate.quantity import Quantity
from annotate.routes.accepted import accept
from capture.demo.samples import known_hole
from capture.desk.aside import Aside
from capture.layers import hand_rim

# A coarse tolerance: how many trials there are is nothing to this test.
ASKED: dict[str, Any] = {"lens": None, "beside": Beside((), Repeats(1.5, 9.0)), "tolerance": 0.05}


@pytest.fixture(scope="module")
def aside() -> Iterator[Aside]:
    made = Aside()
    yield made
    made.close()


def marked() -> tuple[Layer, Givens]:
    hole = known_hole("bearing-1.jpg")
    rims = hand_rim("near", hole.near_points), hand_rim("far", hole.far_points)
    return Layer(2000, 2000, rims), Givens(near_diameter=Quantity(7.05, "mm", 0.03))


def test_it_is_the_same_number_to_the_last_figure(aside) -> None:
    layer, givens = marked()
    here = accept(layer, givens, seed=3, **ASKED)
    assert aside.measure(layer, givens, seed=3, **ASKED) == here


def test_a_refusal_comes_home_with_its_reason_and_advice(aside) -> None:
    bare = Layer(400, 300, (Rim("near", ((1, 1), (2, 2), (3, 3), (4, 4), (5, 5)), 1.0),))
    with pytest.raises(CannotMeasure) as here:
        accept(bare, Givens(), seed=0, **ASKED)
    with pytest.raises(CannotMeasure) as there:
        aside.measure(bare, Givens(), seed=0, **ASKED)
    assert (there.value.reason, there.value.advice) == (here.value.reason, here.value.advice)


def test_where_the_process_dies_it_is_measured_here(aside) -> None:
    layer, givens = marked()
    for process in tuple(aside._pool._processes.values()):
        os.kill(process.pid, signal.SIGKILL)
    here = accept(layer, givens, seed=5, **ASKED)
    assert aside.measure(layer, givens, seed=5, **ASKED) == here
    assert aside.measure(layer, givens, seed=5, **ASKED) == here  # and there again
