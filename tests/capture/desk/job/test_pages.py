"""The other pages by their keys, on a real book."""

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt

from capture.demo.samples import sample_path
from capture.journey import Journey
from capture.plans.reader import parse_plan
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.desk.job.conftest import is_sound


def press(qtbot, page, key: Qt.Key) -> None:
    qtbot.keyClick(page.window(), key)


def test_the_figures_choose_a_page(benched, job_of, qtbot) -> None:
    screen = job_of(benched, "Details")
    names = []
    for key in range(Qt.Key.Key_1, Qt.Key.Key_9):
        qtbot.keyClick(screen.window().focusWidget() or screen, Qt.Key(key))
        names.append(screen.page.name)
    assert names == [page.name for page in screen.pages]
    qtbot.keyClick(screen.window().focusWidget(), Qt.Key.Key_1)
    assert screen.page.name == "Details"  # no box took the figure


def test_details_say_the_job_and_keep_the_owner_s_words(benched, job_of, qtbot, filed) -> None:
    page = job_of(benched, "Details").page
    assert page.rows.row_at(0).title == "Keep the old crankshaft."
    assert not page._strike.isEnabled()
    press(qtbot, page, Qt.Key.Key_A)
    form = page.form_open
    filed(page, about="declined", words="New pump", how="by phone, 10:20", who="Ada Quill")
    said = benched.round.owner[-1].record
    assert (said.about, said.words, said.how, said.who) == (
        "declined", "New pump", "by phone, 10:20", "Ada Quill",
    )  # fmt: skip
    assert form.fields["words"].text() == ""
    page.rows.choose(benched.round.owner[-1].stamp.entry)
    press(qtbot, page, Qt.Key.Key_X)
    filed(page, reason="it was the fan belt")
    assert benched.round.owner[-1].struck.reason == "it was the fan belt"
    assert "STRUCK: it was the fan belt" in page.rows.row_at(page.rows.count() - 1).below
    assert not page._strike.isEnabled()
    assert is_sound(benched)


def test_what_the_owner_said_needs_how(benched, job_of, qtbot, type_in) -> None:
    page = job_of(benched, "Details").page
    press(qtbot, page, Qt.Key.Key_A)
    form = type_in(page, words="New pump")
    assert form.fields["how"].error
    assert form.fields["words"].error == ""
    assert benched.round.owner == ()


def test_a_gauge_is_entered_changed_suspected_and_cleared(benched, job_of, qtbot, filed) -> None:
    page = job_of(benched, "Gauges").page
    assert page.rows.row_at(0).right == "OVERDUE"
    press(qtbot, page, Qt.Key.Key_A)
    filed(page, id="feeler-9", kind="feeler gauges", resolution="0.01 mm",
          permissible_error="0.01 mm")  # fmt: skip
    assert benched.round.plan.gauge("feeler-9").kind == "feeler gauges"
    page.rows.choose("mic-1")
    press(qtbot, page, Qt.Key.Key_C)
    filed(page, last_check="2026-03-01", due="2027-03-01", reason="checked on the block")
    assert page.rows.row_at(0).right == ""
    benched.act(lambda j: j.reading("M1.journal", "58.34 mm"))
    press(qtbot, page, Qt.Key.Key_S)
    filed(page, since="2026-03-02", reason="fell on the floor")
    assert page.rows.row_at(0).right == "SUSPECT since 2\u00a0Mar\u00a02026"
    assert "SUSPECT since 2\u00a0Mar\u00a02026: fell on the floor" in page.detail.text()
    assert "1 entry rests on it" in page.detail.text()
    press(qtbot, page, Qt.Key.Key_L)
    filed(page, reason="right on the 50 mm block")
    assert not page.clear.isEnabled()
    assert "1 reading with it" in page.detail.text()
    assert is_sound(benched)


def test_a_gauge_s_id_is_made_of_what_it_is(benched, job_of, qtbot, filed) -> None:
    page = job_of(benched, "Gauges").page
    for made in ("bore-gauge-50-100", "bore-gauge-50-100-2"):
        press(qtbot, page, Qt.Key.Key_A)
        filed(page, kind="bore gauge 50-100", resolution="0.01 mm", permissible_error="0.01 mm")
        assert benched.round.plan.gauge(made).kind == "bore gauge 50-100"


def test_the_gauges_of_another_job_are_taken_over(benched, job_of, qtbot, tmp_path) -> None:
    other = tmp_path / "other"
    mine = {gauge.id for gauge in benched.round.plan.gauges}
    plan = parse_plan(BENCH_PLAN.encode(), "plan.toml")
    (first, *_), kept = plan.gauges, plan.gauges[-1]
    theirs = (replace(first, id="feeler-7", kind="feelers"), replace(first, id="fell"), kept)
    job = replace(plan.job, number="0398")
    with Journey.start(
        replace(plan, job=job, gauges=theirs, locations=(), hold_points=(), parts=(), kit=()),
        other, bench="b", clock=benched.edge.clock, user="R. Ansell", version="0.0-test",
    ) as begun:  # fmt: skip
        begun.suspect_gauge("fell", since="2026-03-01", reason="fell on the floor")
    page = job_of(benched, "Gauges").page
    page.ask_folder = lambda *_: other
    with qtbot.waitSignal(benched.told) as told:
        press(qtbot, page, Qt.Key.Key_T)
    assert told.args == ["1 gauge of job 0398 entered; 1 suspect one left there"]
    assert {gauge.id for gauge in benched.round.plan.gauges} == mine | {"feeler-7"}
    assert benched.round.changes[-1].record.reason == "taken over from job 0398"
    with qtbot.waitSignal(benched.told) as told:
        press(qtbot, page, Qt.Key.Key_T)
    assert told.args == ["job 0398 has no gauge that this one lacks"]
    page.ask_folder = lambda *_: tmp_path
    with qtbot.waitSignal(benched.refused):
        press(qtbot, page, Qt.Key.Key_T)


def test_a_gauge_that_can_t_be_true_is_refused(benched, job_of, qtbot, type_in) -> None:
    page = job_of(benched, "Gauges").page
    page.rows.choose("depth-1")
    press(qtbot, page, Qt.Key.Key_C)
    form = type_in(page, resolution="0.01")
    assert "has no unit" in form.fields["resolution"].error
    form = type_in(page, resolution="0.01 mm", due="soon")
    assert "is no day" in form.fields["due"].error
    assert form.fields["resolution"].error == ""


def test_kit_is_counted_and_a_piece_goes_on(benched, job_of, qtbot, filed) -> None:
    page = job_of(benched, "Kit and parts").page
    page.rows.choose("kit gallery-plugs")
    assert not page.fitting.isEnabled()
    press(qtbot, page, Qt.Key.Key_C)
    filed(page, count="2", size="19.05 mm", note="one bag was open")
    counted = benched.round.kit[0].counted.record
    assert (counted.count, counted.size.value, counted.words) == (2, 19.05, "one bag was open")
    page.rows.choose("part shell-1")
    for piece in ("box 2, tab B", "box 3, tab A"):
        press(qtbot, page, Qt.Key.Key_P)
        with qtbot.waitSignal(benched.told) as told:
            filed(page, piece=piece)
    assert "instead of box 2, tab B" in told.args[0]
    assert "1 piece before it" in page.rows.row_at(page.rows.currentRow()).below
    press(qtbot, page, Qt.Key.Key_A)
    filed(page, id="cups", name="Core plugs", count="5", size="38.5 mm")
    press(qtbot, page, Qt.Key.Key_T)
    filed(page, id="cup-1", name="Core plug", kit="cups")
    assert benched.round.plan.part("cup-1").kit == "cups"
    page.rows.choose("kit cups")
    press(qtbot, page, Qt.Key.Key_C)
    filed(page, count="5", size="38.5 mm")
    row = page.rows.row_at(page.rows.currentRow())
    assert row.title == "cups  Core plugs, 38.5 mm"
    assert "5 counted (measured as the packing says)" in row.below
    assert is_sound(benched)


def test_a_count_that_is_no_number_is_refused(benched, job_of, qtbot, type_in) -> None:
    page = job_of(benched, "Kit and parts").page
    press(qtbot, page, Qt.Key.Key_C)
    form = type_in(page, count="a few")
    assert "whole number" in form.fields["count"].error
    assert benched.round.kit[0].counted is None


def test_plugs_go_out_and_in_and_a_gallery_is_logged(benched, job_of, qtbot, filed) -> None:
    page = job_of(benched, "Plugs and galleries").page
    page.rows.choose("plug G2")
    press(qtbot, page, Qt.Key.Key_O)
    filed(page, size="3/8 pipe thread", note="2.3 mm below the face")
    assert benched.round.plugs[0].state == "out"
    assert "1 out, 0 in: NOT equal" in page.head.text()
    press(qtbot, page, Qt.Key.Key_I)
    filed(page, piece="new, bag 4")
    assert benched.round.plugs[0].state == "in"
    assert "1 out, 1 in" in page.head.text()
    assert page.rows.row_at(page.rows.currentRow()).right == "in again"
    page.rows.choose("plug G3")
    press(qtbot, page, Qt.Key.Key_I)
    filed(page, piece="new, bag 5")
    assert benched.round.plan.part("plug-G3").location == "G3"  # the plan had none
    page.rows.choose("gallery G1")
    press(qtbot, page, Qt.Key.Key_D)
    filed(page, how="brushed, blown, looked through", found="chips", clean="no")
    assert page.rows.row_at(page.rows.currentRow()).right == "gallery NOT clean"
    press(qtbot, page, Qt.Key.Key_X)
    filed(page, reason="wrong gallery")
    assert page.rows.row_at(page.rows.currentRow()).right == "no debris log"
    assert is_sound(benched)


def test_a_paper_is_kept_as_it_is(benched, job_of, qtbot, type_in, filed) -> None:
    page = job_of(benched, "Papers").page
    assert "No paper is kept yet" in page.none.text()
    press(qtbot, page, Qt.Key.Key_A)
    form = type_in(page, what="works sheet, extract")
    assert form.fields["file"].error == "choose the file"
    with sample_path("works-sheet.txt") as path:
        form.fields["file"].ask = lambda *_: path
        form.fields["file"].choose.click()
        filed(page, location="M1", keys="M1.bore, M1.journal")
    paper = benched.round.papers[0].record
    assert (paper.what, paper.location) == ("works sheet, extract", "M1")
    assert paper.keys == ("M1.bore", "M1.journal")
    assert page.rows.row_at(0).right == "works-sheet.txt"
    assert is_sound(benched)


@pytest.mark.parametrize("name", ["Plan", "Gauges", "Kit and parts", "Plugs and galleries"])
def test_every_form_opens_its_first_field(benched, job_of, qtbot, name) -> None:
    page = job_of(benched, name).page
    for form in page._forms:
        if form == "strike":
            continue
        page.open_form(form)
        first = next(f for f in page.form(form).fields.values() if not f.isHidden())
        assert first.isAncestorOf(page.window().focusWidget()), form
        qtbot.keyClick(page.form(form), Qt.Key.Key_Escape)
        assert page.form_open is None
        assert page.rows.hasFocus()


def test_every_field_and_list_has_a_name_for_who_hears_it(benched, job_of) -> None:
    screen = job_of(benched, "Details")
    for page in screen.pages[:-1]:
        assert page.rows.accessibleName() == page.name
        for form in page._forms.values():
            assert all(field.box.accessibleName() for field in form.fields.values())
            assert all(field.box.height() >= 0 for field in form.fields.values())
