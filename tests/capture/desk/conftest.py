"""A real desk on a real book, in a folder of its own; the clock is the test's."""

from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from capture.demo.job import read_demo_plan
from capture.desk.desk import Desk
from capture.desk.errands import wait_for_all
from capture.edge import Edge
from capture.plans.reader import parse_plan
from store.plan import Plan
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.small_plan import PLAN


def ticking() -> Callable[[], str]:
    """Return a clock that goes on by a second each time it is asked."""
    seconds = count()
    return lambda: f"2026-03-02T09:{(n := next(seconds)) // 60 % 60:02d}:{n % 60:02d}+01:00"


@pytest.fixture
def edge() -> Edge:
    return Edge(ticking(), "R. Ansell", lambda: "test-bench", lambda: "0.0-test")


@pytest.fixture
def desk(qtbot, edge) -> Iterator[Desk]:
    """A desk without a book."""
    made = Desk(edge)
    yield made
    made.close()
    wait_for_all()


@pytest.fixture
def begun(desk, qtbot, tmp_path) -> Callable[[Plan], Desk]:
    """Begin a book with a plan on the desk, and wait until it stands."""

    def begin(plan: Plan) -> Desk:
        root: Path = tmp_path / "book"
        desk.begin(plan, root)
        qtbot.waitUntil(lambda: desk.root == root and desk.where.room != "first")
        return desk

    return begin


@pytest.fixture
def small(begun) -> Desk:
    """The small plan: a coverage, a core plug with bore and plug, and a hold point."""
    return begun(parse_plan(PLAN.encode(), "plan.toml"))


@pytest.fixture
def benched(begun) -> Desk:
    """The plan with a bit of everything."""
    return begun(parse_plan(BENCH_PLAN.encode(), "plan.toml"))


@pytest.fixture
def demo(begun) -> Desk:
    """The demo's plan, nothing done yet: 31 locations."""
    return begun(read_demo_plan())
