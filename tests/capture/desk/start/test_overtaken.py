"""A plan that is still being worked out when something else is chosen, or one went on."""

from collections.abc import Iterator
from threading import Event
from typing import NamedTuple

import pytest

from capture.desk import errands
from capture.desk.start import new_job as under_test
from capture.desk.start import previewed as previews
from capture.desk.start.previewed import Previewed
from store.plan import Plan
from tests.capture.desk.start.conftest import tick
from tests.patient import LONG_MS


class Slow(NamedTuple):
    """What is being worked out, by its plans' names, and the leave to answer."""

    asked: list[tuple[str, ...]]
    may_answer: Event


@pytest.fixture
def slow(monkeypatch) -> Iterator[Slow]:
    """Let every plan be worked out only when the test says so."""
    made, really = Slow([], Event()), previews.previewed

    def previewed(chosen, left_out, job) -> Previewed:
        made.asked.append(chosen.library)
        made.may_answer.wait(LONG_MS / 1000)
        return really(chosen, left_out, job)

    monkeypatch.setattr(under_test, "previewed", previewed)
    yield made
    made.may_answer.set()


@pytest.fixture
def shown_plans(new_job) -> list[Plan | None]:
    heard: list[Plan | None] = []
    new_job.preview_changed.connect(heard.append)
    return heard


@pytest.fixture
def under_way(new_job, qtbot, slow) -> Slow:
    """Tick a plan, and wait until it is being worked out."""
    tick(new_job, qtbot, "arrival")
    qtbot.waitUntil(lambda: ("arrival",) in slow.asked)
    return slow


def all_home(qtbot) -> None:
    qtbot.waitUntil(lambda: not errands.are_running())


def test_a_plan_of_what_was_chosen_before_is_not_shown(
    new_job, qtbot, shown_plans, under_way
) -> None:
    tick(new_job, qtbot, "cam-tunnel")
    under_way.may_answer.set()
    qtbot.waitUntil(lambda: bool(shown_plans))
    all_home(qtbot)
    (plan,) = shown_plans
    assert {"A1", "C1"} <= {each.id for each in plan.locations}
    assert under_way.asked[-1] == ("arrival", "cam-tunnel")


def test_a_plan_that_comes_when_one_went_on_is_not_shown(
    new_job, qtbot, shown_plans, under_way
) -> None:
    new_job.leave()
    under_way.may_answer.set()
    all_home(qtbot)
    assert shown_plans == [None]
