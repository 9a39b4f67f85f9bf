"""A new job, typed with real keys, begun as a real book."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from capture.desk.look.scrolled import reveal
from capture.desk.start.new_job import NewJobScreen
from capture.desk.start.offered import NOBODYS, Chosen, plan_of
from capture.desk.walk.pane import RoundPane
from capture.desk.walk.row import LocationRow
from capture.desk.where import Where
from capture.verifying import verify_book
from store.book import Book
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.desk.start.conftest import tick
from tests.capture.small_plan import PLAN


def type_job(screen: NewJobScreen, qtbot, number: str = "0417") -> None:
    for name, text in (
        ("engine", "Fennmoor 4"), ("customer", "Ada Quill"), ("number", number),
        ("shop", "Back Lane Bench"),
    ):  # fmt: skip
        box = screen.job.fields[name].box
        box.setFocus()
        qtbot.keyClicks(box, text)


def start(screen: NewJobScreen, qtbot) -> None:
    qtbot.keyClick(screen, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)


def test_a_job_of_two_library_plans(new_job, qtbot, documents) -> None:
    tick(new_job, qtbot, "arrival", "cam-tunnel")
    many = new_job.choice.how_many.fields["cam"]
    many.box.setFocus()
    many.box.selectAll()
    qtbot.keyClicks(many.box, "3")
    type_job(new_job, qtbot)
    start(new_job, qtbot)
    root = documents / "Benchproof jobs" / "0417-fennmoor"
    qtbot.waitUntil(lambda: new_job.desk.root == root)
    known = new_job.desk.round
    ids = [place.location.id for place in known.places]
    assert {"C1", "C3"} <= set(ids)
    assert "C4" not in ids
    assert (known.job.number, known.job.customer) == ("0417", "Ada Quill")
    assert new_job.desk.where.room == "location"
    assert verify_book(root, version="0.0-test") == []


def test_the_preview_follows_what_is_ticked(new_job, qtbot) -> None:
    with qtbot.waitSignal(new_job.preview_changed, check_params_cb=bool) as shown:
        tick(new_job, qtbot, "arrival")
    assert shown.args[0].locations
    assert new_job.size_words.text().startswith("3 locations")
    with qtbot.waitSignal(new_job.preview_changed, check_params_cb=lambda plan: plan is None):
        tick(new_job, qtbot, "arrival")
    assert "tick a plan" in new_job.size_words.text()


def test_nothing_can_be_started_without_a_plan(new_job, qtbot) -> None:
    qtbot.waitUntil(lambda: "tick a plan" in new_job.size_words.text())
    assert not new_job.foot.begin.isEnabled()
    tick(new_job, qtbot, "cam-tunnel")
    assert new_job.foot.begin.isEnabled()
    qtbot.waitUntil(lambda: new_job.found.plan is not None)
    assert new_job.foot.begin.isEnabled()
    new_job.choice.how_many.fields["cam"].set_text("0")
    new_job.choice.how_many.edited.emit()
    qtbot.waitUntil(lambda: not new_job.foot.begin.isEnabled())


def test_what_hangs_on_what_is_left_out_is_left_out_and_said(new_job, qtbot) -> None:
    tick(new_job, qtbot, "plugs-and-galleries")
    qtbot.waitUntil(lambda: new_job.choice.trim.count() > 0)
    assert not new_job.choice.also.isVisible()
    qtbot.keyClick(new_job, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    new_job.choice.trim.choose("kind depth")
    qtbot.keyClick(new_job.choice.trim, Qt.Key.Key_Space)
    qtbot.waitUntil(new_job.choice.also.isVisible)
    assert "worked out from it: G1.tilt (does it sit square" in new_job.choice.also.text()
    keys = {key for key, _, _ in new_job.found.plan.walk()}
    assert {"G1.depth", "G1.datums-agree"} & keys == set()
    assert new_job.foot.begin.isEnabled()


def test_what_lacks_is_said_beside_each_field_and_nothing_is_begun(new_job, qtbot) -> None:
    tick(new_job, qtbot, "arrival")
    start(new_job, qtbot)
    wrong = {name for name, field in new_job.job.fields.items() if field.error}
    assert wrong == {"engine", "customer", "number", "shop"}
    assert new_job.job.fields["engine"].box.hasFocus()
    assert new_job.desk.root is None
    qtbot.keyClicks(new_job.job.fields["engine"].box, "T")
    assert new_job.job.fields["engine"].error == ""


def test_a_list_that_can_t_be_read_is_said_at_its_field(new_job, qtbot) -> None:
    tick(new_job, qtbot, "cam-tunnel")
    type_job(new_job, qtbot)
    field = new_job.choice.how_many.fields["cam"]
    field.set_text("0")
    start(new_job, qtbot)
    assert field.error.startswith("at least one")
    assert new_job.desk.root is None
    assert new_job.job.fields["customer"].text() == "Ada Quill"


def test_a_folder_that_is_taken_is_said_beside_it(new_job, qtbot, documents) -> None:
    tick(new_job, qtbot, "arrival")
    type_job(new_job, qtbot)
    taken = documents / "Benchproof jobs" / "0417-fennmoor"
    taken.mkdir(parents=True)
    (taken / "notes.txt").touch()
    start(new_job, qtbot)
    assert "holds something already" in new_job.foot.fault
    elsewhere = documents / "other"
    new_job.ask_folder = lambda *_: elsewhere
    qtbot.keyClick(new_job.foot.elsewhere, Qt.Key.Key_Space)
    assert new_job.foot.fault == ""
    start(new_job, qtbot)
    qtbot.waitUntil(lambda: new_job.desk.root == elsewhere / "0417-fennmoor")


def test_the_empty_plan_stands_alone_and_begins_at_the_job(new_job, qtbot) -> None:
    tick(new_job, qtbot, "arrival", "empty")
    assert new_job.choice.chosen().is_empty
    type_job(new_job, qtbot)
    start(new_job, qtbot)
    qtbot.waitUntil(lambda: new_job.desk.root is not None)
    assert new_job.desk.round.places == ()
    assert new_job.desk.where.room == "job"


def test_a_plan_file_brings_its_job(new_job, qtbot, tmp_path) -> None:
    path: Path = tmp_path / "mine.toml"
    path.write_text(PLAN, encoding="utf-8")
    new_job.ask_file = lambda *_: path
    qtbot.keyClick(new_job, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: str(path) in new_job.choice.plans.row_keys())
    assert new_job.job.fields["customer"].text()
    start(new_job, qtbot)
    qtbot.waitUntil(lambda: new_job.desk.root is not None)
    assert [p.location.id for p in new_job.desk.round.places]


def test_a_plan_file_that_is_wrong_is_told(new_job, qtbot, tmp_path) -> None:
    path: Path = tmp_path / "mine.toml"
    path.write_text("format = 1\n[[location]]\n", encoding="utf-8")
    with qtbot.waitSignal(new_job.desk.refused) as said:
        new_job.add_file(path)
    assert "mine.toml" in said.args[0]


def test_a_comeback_is_linked_to_the_old_book_and_has_its_plan(small, shown, qtbot) -> None:
    old = small.root
    plan = small.round.plan
    screen = shown(NewJobScreen(small), Where("new job"))
    qtbot.waitUntil(lambda: "comeback" in screen.choice.plans.row_keys())
    tick(screen, qtbot, "comeback")
    type_job(screen, qtbot, "0417-2")
    start(screen, qtbot)
    assert screen.choice.comeback.error == "say which job came back"
    screen.ask_folder = lambda *_: old
    qtbot.keyClick(screen, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: screen.choice.before is not None)
    number = screen.job.fields["number"]
    assert number.text() == ""
    qtbot.keyClicks(number.box, "0417-2")
    start(screen, qtbot)
    qtbot.waitUntil(lambda: small.root != old)
    assert small.round.follows == plan.job.number
    assert small.round.plan.locations == plan.locations
    with Book.open(old, read_only=True) as book:
        assert small.round.follows_entry == book.entries()[-1].hash


def test_what_is_left_out_is_not_asked(new_job, qtbot) -> None:
    tick(new_job, qtbot, "cam-tunnel")
    qtbot.waitUntil(lambda: new_job.choice.trim.count() > 0)
    qtbot.keyClick(new_job, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert new_job.choice.trim.hasFocus()
    new_job.choice.trim.choose("C5")
    qtbot.keyClick(new_job.choice.trim, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: "C5" not in {at.id for at in new_job.found.plan.locations})
    type_job(new_job, qtbot)
    start(new_job, qtbot)
    qtbot.waitUntil(lambda: new_job.desk.root is not None)
    assert "C5" not in {place.location.id for place in new_job.desk.round.places}


@pytest.fixture
def after_a_job(benched, shown, qtbot) -> NewJobScreen:
    """A new job on a desk whose last one has gauges and a shop."""
    assert [state.gauge.id for state in benched.round.gauges]
    screen = shown(NewJobScreen(benched), Where("new job"))
    qtbot.waitUntil(lambda: {"gauges", "arrival"} <= set(screen.choice.plans.row_keys()))
    return screen


def test_the_gauges_of_the_last_job_are_taken_over(after_a_job, qtbot) -> None:
    desk = after_a_job.desk
    gauges, number = desk.round.plan.gauges, desk.round.job.number
    keys = after_a_job.choice.plans.row_keys()
    row = after_a_job.choice.plans.row_at(keys.index("gauges"))
    assert row.title == f"Take over the gauges of job {number} ({len(gauges)})"
    assert row.ticked
    assert after_a_job.job.fields["shop"].text() == desk.round.job.shop
    old = desk.root
    tick(after_a_job, qtbot, "arrival")
    qtbot.waitUntil(lambda: after_a_job.found.plan is not None)
    after_a_job.job.fields["shop"].set_text("")
    type_job(after_a_job, qtbot)
    start(after_a_job, qtbot)
    qtbot.waitUntil(lambda: desk.root != old)
    assert desk.round.plan.gauges == gauges
    assert verify_book(desk.root, version="0.0-test") == []


def test_the_gauges_are_left_where_they_are_not_wanted(after_a_job, qtbot) -> None:
    tick(after_a_job, qtbot, "gauges", "arrival")
    assert not after_a_job.choice.gauges_taken
    qtbot.waitUntil(lambda: after_a_job.found.plan is not None)
    assert not after_a_job.choice.gauges_taken
    tick(after_a_job, qtbot, "gauges")
    taken = after_a_job.choice.gauges_taken
    assert taken.gauges == after_a_job.desk.round.plan.gauges
    tick(after_a_job, qtbot, "arrival")
    assert after_a_job.choice.is_nothing  # gauges alone are no plan


def test_a_plan_with_gauges_keeps_to_its_own(after_a_job, qtbot, tmp_path) -> None:
    path: Path = tmp_path / "mine.toml"
    path.write_text(BENCH_PLAN, encoding="utf-8")
    after_a_job.add_file(path)
    qtbot.waitUntil(lambda: after_a_job.choice.gauges_taken is None)
    assert after_a_job.choice.gauges_taken is None


def test_all_that_is_chosen_of_the_plans_is_in_sight(new_job, qtbot) -> None:
    tick(new_job, qtbot, "cam-tunnel")
    new_job.resize(976, 752)
    qtbot.waitUntil(lambda: "cam" in new_job.choice.how_many.fields)
    new_job.job.fields["engine"].setFocus()
    for each in (new_job.choice.leave_out, new_job.choice.how_many.fields["cam"]):
        qtbot.waitUntil(each.isVisible)
        assert each.visibleRegion().boundingRect().height() == each.height()


def test_the_round_to_come_says_what_to_do_while_there_is_none(desk, qtbot) -> None:
    pane = RoundPane(desk)
    qtbot.addWidget(pane)
    desk.go(Where("new job"))
    assert pane.nothing.text() == "Tick a plan: its round is shown here"
    pane.preview(plan_of(NOBODYS, Chosen(library=("cam-tunnel",))))
    assert pane.nothing.text() == ""
    rows = [row for row in pane.gallery.items if isinstance(row, LocationRow)]
    assert all("check" in row.lying.values[0] for row in rows)
    assert rows[0].lying.values[0].endswith("on a photo")


def test_coming_back_the_box_with_the_keyboard_is_in_sight(new_job, qtbot) -> None:
    new_job.job.fields["declined"].box.setFocus()
    reveal(new_job.job.fields["declined"])
    engine = new_job.job.fields["engine"]
    qtbot.waitUntil(lambda: engine.visibleRegion().isEmpty())
    new_job.leave()
    new_job.enter(Where("new job"))
    qtbot.waitUntil(lambda: engine.visibleRegion().boundingRect().height() == engine.height())
    assert engine.box.hasFocus()


def test_escape_goes_back(new_job, qtbot) -> None:
    with qtbot.waitSignal(new_job.desk.went) as went:
        qtbot.keyClick(new_job, Qt.Key.Key_Escape)
    assert went.args == [Where("first")]


def test_tab_walks_the_fields_in_their_order(new_job, qtbot) -> None:
    new_job.job.fields["engine"].box.setFocus()
    for name in ("customer", "number"):
        qtbot.keyClick(new_job.focusWidget(), Qt.Key.Key_Tab)
        assert new_job.job.fields[name].box.hasFocus()


def test_return_alone_starts_nothing(new_job, qtbot) -> None:
    tick(new_job, qtbot, "arrival")
    type_job(new_job, qtbot)
    for box in (new_job.choice.plans, new_job.job.fields["shop"].box):
        qtbot.keyClick(box, Qt.Key.Key_Return)
    assert new_job.foot.begin.isEnabled()
    assert new_job.desk.root is None
