"""Books to read rows from, without a window."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.plan import Plan
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.desk.conftest import ticking
from tests.capture.small_plan import PLAN

Begin = Callable[[Plan], Journey]


@pytest.fixture
def begin(tmp_path: Path) -> Iterator[Begin]:
    begun: list[Journey] = []

    def begin(plan: Plan) -> Journey:
        begun.append(Journey.start(
            plan, tmp_path / "book", bench="b", clock=ticking(), user="R. Ansell", version="0",
        ))  # fmt: skip
        return begun[-1]

    yield begin
    for journey in begun:
        journey.book.close()


@pytest.fixture
def small_book(begin: Begin) -> Journey:
    return begin(parse_plan(PLAN.encode(), "plan.toml"))


@pytest.fixture
def bench_book(begin: Begin) -> Journey:
    return begin(parse_plan(BENCH_PLAN.encode(), "plan.toml"))
