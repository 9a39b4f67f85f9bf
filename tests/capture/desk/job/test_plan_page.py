"""The plan page by its keys, on a real book."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QPushButton

from capture.demo.samples import sample_path
from capture.desk.desk import Desk
from capture.desk.job.plan import PlanPage
from capture.desk.job.screen import JobScreen
from capture.desk.where import Where
from store.change import LimitSet
from tests.capture.desk.job.conftest import is_sound


@pytest.fixture
def page(benched, job_of) -> PlanPage:
    return job_of(benched, "Plan").page


def press(qtbot, page, key: Qt.Key) -> None:
    qtbot.keyClick(page.window(), key)


def test_a_location_and_a_check_are_added(page, qtbot, filed, benched) -> None:
    page.rows.choose("G2")
    press(qtbot, page, Qt.Key.Key_A)
    filed(page, id="G9", name="Plug behind the drive", what="plug", reason="found at strip-down")
    ids = [place.location.id for place in benched.round.places]
    assert ids.index("G9") == ids.index("G2") + 1
    page.rows.choose("G9")
    press(qtbot, page, Qt.Key.Key_K)
    filed(page, kind="depth", id="depth", question="How deep?", datum="face", repeats="2")
    check = benched.round.check("G9.depth").characteristic
    assert (check.datum, check.repeats) == ("face", 2)
    assert "G9.depth" in page.rows.row_keys()
    assert benched.round.changes[0].record.reason == "found at strip-down"
    assert is_sound(benched)


def test_ids_are_made_of_names_and_can_be_typed(page, qtbot, filed, benched) -> None:
    press(qtbot, page, Qt.Key.Key_A)
    filed(page, name="Plug behind the drive", reason="found at strip-down")
    assert benched.round.place("plug-behind-drive").location.name == "Plug behind the drive"
    press(qtbot, page, Qt.Key.Key_A)
    assert list(page.form_open.fields)[-1] == "id"
    filed(page, name="Plug behind the drive", reason="there are two")
    assert benched.round.place("plug-behind-drive-2")
    page.rows.choose("plug-behind-drive")
    press(qtbot, page, Qt.Key.Key_K)
    filed(page, kind="yes-no", question="Is it tight?", reason="found at strip-down")
    assert benched.round.check("plug-behind-drive.tight").characteristic.kind == "yes-no"


def test_what_lacks_is_said_at_its_field_and_nothing_is_lost(page, qtbot, type_in, benched) -> None:
    before = benched.round.entries
    press(qtbot, page, Qt.Key.Key_A)
    form = type_in(page, id="no id", name="Somewhere")
    assert "is not an id" in form.fields["id"].error
    assert form.fields["id"].box.hasFocus()
    assert form.fields["name"].text() == "Somewhere"
    qtbot.keyClick(form, Qt.Key.Key_Escape)
    assert page.form_open is None
    press(qtbot, page, Qt.Key.Key_A)
    assert form.fields["name"].text() == "Somewhere"
    assert benched.round.entries == before


def test_what_the_book_refuses_is_said_in_the_form(page, qtbot, type_in, benched) -> None:
    press(qtbot, page, Qt.Key.Key_A)
    form = type_in(page, id="G2", name="Twice")
    qtbot.waitUntil(lambda: not form.fault.isHidden())
    assert "there twice" in form.fault.text()
    assert form.fields["name"].text() == "Twice"


def test_a_limit_is_changed_with_source_and_reason(page, qtbot, type_in, filed, benched) -> None:
    page.rows.choose("M1.clearance")
    press(qtbot, page, Qt.Key.Key_L)
    texts = {"at_least": "0.03 mm", "at_most": "0.05 mm", "source": "manual, page 41"}
    form = type_in(page, **texts)
    qtbot.waitUntil(lambda: bool(form.fields["reason"].error))
    assert "say why" in form.fields["reason"].error
    filed(page, reason="the maker's figure came")
    limit = benched.round.check("M1.clearance").characteristic.limit
    assert (limit.at_least.value, limit.source) == (0.03, "manual, page 41")
    assert isinstance(benched.round.changes[-1].record.change, LimitSet)
    assert is_sound(benched)


def test_a_location_is_renamed_and_walked_later(page, qtbot, filed, benched) -> None:
    page.rows.choose("G1")
    press(qtbot, page, Qt.Key.Key_R)
    filed(page, name="Main gallery, left")
    assert benched.round.place("G1").location.name == "Main gallery, left"
    press(qtbot, page, Qt.Key.Key_D)
    qtbot.waitUntil(lambda: [p.location.id for p in benched.round.places][:2] == ["G2", "G1"])
    assert page.rows.key == "G1"
    press(qtbot, page, Qt.Key.Key_U)
    qtbot.waitUntil(lambda: [p.location.id for p in benched.round.places][:2] == ["G1", "G2"])
    with qtbot.waitSignal(benched.told) as told:
        press(qtbot, page, Qt.Key.Key_U)
    assert told.args == ["G1 is the first one already"]


def test_never_fitted_takes_a_photo_of_the_bare_place(page, qtbot, type_in, filed, benched) -> None:
    page.rows.choose("G3")
    press(qtbot, page, Qt.Key.Key_N)
    form = type_in(page, reason="solid boss")
    assert form.fields["photo"].error
    with sample_path("boss-without-bore.jpg") as path:
        form.fields["file"].ask = lambda *_: path
        form.fields["file"].choose.click()
        filed(page)
    place = benched.round.place("G3")
    assert place.never is not None
    assert [photo.taken.role for photo in place.photos] == ["bare bore"]
    assert is_sound(benched)


def test_a_hold_point_is_added(page, qtbot, filed, benched) -> None:
    press(qtbot, page, Qt.Key.Key_H)
    filed(page, id="seal-on", name="Seal carrier goes on", hides="S1", seal="yes")
    assert benched.round.hold("seal-on").hold_point.seal


def test_limits_to_be_looked_up_alone_are_listed(begun, job_of, qtbot) -> None:
    from capture.desk.start.offered import NOBODYS, Chosen, plan_of  # noqa: PLC0415 - beside its use

    desk = begun(plan_of(NOBODYS, Chosen(library=("cam-tunnel",))))
    page = job_of(desk, "Plan").page
    whole = page.rows.count()
    qtbot.keyClick(page.window(), Qt.Key.Key_F)
    assert 0 < page.rows.count() < whole
    checks = [key for key in page.rows.row_keys() if "." in key]
    asked = [c.key for c in desk.round.checks if c.characteristic.asks]
    assert checks == asked
    qtbot.keyClick(page.window(), Qt.Key.Key_F)
    assert page.rows.count() == whole


@pytest.fixture
def plugs(begun) -> Desk:
    from capture.desk.start.offered import NOBODYS, Chosen, plan_of  # noqa: PLC0415 - beside its use

    return begun(plan_of(NOBODYS, Chosen(library=("plugs-and-galleries",))))


def test_the_page_opens_at_the_check_that_was_asked_for(plugs, shown, qtbot) -> None:
    screen = shown(JobScreen(plugs), Where("job", key="GB3.press", part="Plan"))
    page = screen.page
    assert page.rows.key == "GB3.press"
    page.rows.choose("GO1.old-depth")
    qtbot.keyClick(page.window(), Qt.Key.Key_F)
    screen.enter(Where("job", key="GO2.old-depth", part="Plan"))  # not among the open limits
    assert page.rows.key == "GO2.old-depth"
    screen.enter(Where("job", key="GB3.press", part="Plan"))
    qtbot.keyClick(page.window(), Qt.Key.Key_L)
    assert page.form_open.title.text() == (
        "Limit of GB3.press, in mm where no unit is typed: "
        "maker's figure and page: press fit of the gallery plugs"
    )


def test_one_tick_gives_the_limit_to_all_that_ask_the_same(plugs, job_of, filed, qtbot) -> None:
    page = job_of(plugs, "Plan").page
    qtbot.keyClick(page.window(), Qt.Key.Key_F)
    page.rows.choose("GB1.press")
    before = plugs.round.entries
    qtbot.keyClick(page.window(), Qt.Key.Key_L)
    also = page.form_open.fields["also"]
    assert also.words == "Also for GB2, GB3, GB4: the same limit from the same source"
    assert also.text() == ""
    also.box.setFocus()
    qtbot.keyClick(also.box, Qt.Key.Key_Space)
    with qtbot.waitSignal(plugs.told) as told:
        filed(page, at_least="0.02", at_most="0.05", source="manual, page 12")
    assert told.args[0].endswith("; mm assumed")
    limits = [plugs.round.check(f"GB{n}.press").characteristic.limit for n in (1, 2, 3, 4)]
    assert {(each.at_least.value, each.at_least.unit, each.source) for each in limits} == {
        (0.02, "mm", "manual, page 12")
    }
    assert plugs.round.entries == before + 4
    # The list stays on the open limits and goes on to the next one in the walk.
    keys = [key for key in page.rows.row_keys() if "." in key]
    assert "GB1.press" not in keys
    assert page.rows.key == "GB2.bore-round"
    qtbot.keyClick(page.window(), Qt.Key.Key_L)
    assert page.form_open.fields["also"].text() == ""
    assert is_sound(plugs)


def test_the_limit_s_form_shows_what_is_needed_without_scrolling(page, qtbot) -> None:
    page.rows.choose("M1.clearance")
    qtbot.keyClick(page.window(), Qt.Key.Key_L)
    form = page.form_open
    qtbot.waitUntil(form.fields["reason"].isVisible)
    for name in ("at_least", "at_most", "source", "reason"):
        field = form.fields[name]
        assert field.visibleRegion().boundingRect().height() == field.height(), name
    for name in ("rule", "which", "there"):
        for button in form.fields[name].box.findChildren(QPushButton):
            wide = button.fontMetrics().horizontalAdvance(button.text())
            assert wide + 30 <= button.width(), button.text()


def test_an_empty_plan_opens_here_and_says_what_to_do(begun, shown, filed, qtbot) -> None:
    from capture.desk.start.offered import NOBODYS  # noqa: PLC0415 - beside its use
    from store.plan import Plan  # noqa: PLC0415 - beside its use

    desk = begun(Plan(NOBODYS, ()))
    screen = shown(JobScreen(desk), Where("job"))
    page = screen.page
    assert page.name == "Plan"
    assert "add the first location" in page.none.text()
    qtbot.keyClick(screen, Qt.Key.Key_A)
    filed(page, id="A1", name="As it came")
    assert page.rows.row_keys() == ["A1"]
    assert page.none.isHidden()


def test_a_long_list_scrolls_and_stays_where_it_is(demo, job_of, qtbot) -> None:
    page = job_of(demo, "Plan").page
    bar = page.rows.verticalScrollBar()
    assert bar.maximum() > 1000
    pages = []
    away = QShortcut(QKeySequence("PgDown"), page.window())
    away.activated.connect(lambda: pages.append("left"))
    qtbot.keyClick(page.rows, Qt.Key.Key_PageDown)
    assert page.rows.currentRow() > 3
    assert pages == []  # the window's own key, outside of lists
    qtbot.keyClick(page.rows, Qt.Key.Key_End)
    assert page.rows.key == page.rows.row_keys()[-1]
    assert bar.value() == bar.maximum()
    page.rows.choose("M2.journal")
    demo.act(lambda j: j.reading("A1.identity", "as it came"))
    qtbot.waitUntil(lambda: page.known.check("A1.identity").current is not None)
    assert page.rows.key == "M2.journal"
    shown = page.rows.visualItemRect(page.rows.currentItem())
    assert page.rows.viewport().rect().contains(shown)


def test_the_chosen_check_is_told_in_full(page, benched) -> None:
    page.rows.choose("M1.strip")
    assert benched.round.check("M1.strip").characteristic.question not in page.detail.text()
    assert "Caution: Keep it out of the oil hole." in page.detail.text()
    page.rows.choose("G1")
    assert "hidden by: Crankshaft goes in" in page.detail.text()
    assert not page.limit.isEnabled()
