"""Two photos of one hole measured as one at the window: ticked, measured, refused, taken back.

The marks are those of two views of one drilled hole, projected independently (tests.annotate.
drilled); the pictures themselves carry nothing.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import Qt

from annotate.marks import FarUnseen, Layer
from annotate.result import Known
from capture.desk.location.history import history_of
from capture.desk.location.screen import LocationScreen
from capture.desk.marking.jointly import NOT_MARKED, STRUCK, shown_photos
from capture.desk.marking.sitting import sit_down
from capture.desk.where import Where
from capture.verifying import verify_book
from capture.words.quantities import quantity_text
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import layer_of
from tests.capture.desk.marking.conftest import SLOW_MS, accept, all_words, go_to

HOLE = Drilled(tilt_deg=14.0, tilt_towards_deg=20.0, r_far=4.4, offset=(1.6, 1.1))
AGAIN = replace(HOLE, tilt_deg=10.0, tilt_towards_deg=230.0, spin_deg=75.0, aim_px=(-120.0, 90.0))
OTHER = replace(AGAIN, offset=(3.6, 2.4))
TYPED = {
    "near_diameter": "8.00 mm", "far_diameter": "8.80 mm", "wall": "2.00 mm",
    "bore_diameter": "50.0 mm",
}  # fmt: skip
KEY = "B3.covered"


@pytest.fixture
def views(filed, tmp_path: Path) -> tuple[str, str]:
    """File two pictures without anything on them, of the size that the projection is of."""
    made = []
    for shade in (90, 130):
        file = tmp_path / f"view-{shade}.png"
        Image.fromarray(np.full((*HOLE.size[::-1], 3), shade, np.uint8)).save(file)
        made.append(filed(file))
    return made[0], made[1]


def mark(screen, scene: Drilled, seed: int) -> None:
    """Put the rims of a scene on the canvas, as a hand would have."""
    rims = layer_of(scene, sigma=0.6, seed=seed, near=12, far=9).marks
    screen.canvas.set_rims(*rims)
    screen.placing.typed = dict(TYPED)


def mark_both(screen, desk, qtbot, views, scenes=(HOLE, AGAIN)) -> None:
    """Accept marks on the first photo, and place those on the second."""
    mark(screen, scenes[0], 0)
    accept(screen, desk, qtbot)
    go_to(screen, desk, Where("marking", KEY, photo=views[1]), qtbot)
    mark(screen, scenes[1], 1)


def measured(screen, qtbot) -> None:
    qtbot.keyClick(screen, Qt.Key.Key_A)
    qtbot.waitUntil(lambda: screen.placing.state != "measuring", timeout=SLOW_MS)


def tick(screen, photo: str, qtbot) -> None:
    rows = screen.column.together.rows
    rows.choose(photo)
    qtbot.keyClick(rows, Qt.Key.Key_Space)


def test_what_is_placed_now_is_measured_with_an_earlier_photos_marks(
    demo, opened, views, qtbot
) -> None:
    screen = opened(KEY, views[0])
    mark_both(screen, demo, qtbot, views)
    alone = demo.round.check(KEY).current.record.result.covered
    screen.canvas.setFocus()
    qtbot.keyClick(screen, Qt.Key.Key_W)
    page = screen.column.together
    assert screen.question == "Which photos show this hole?"
    assert page.chosen == {views[1]}
    verb = screen.column.accept_verb
    assert (verb.words(), verb.isEnabled()) == ("Measure together", False)
    assert verb.accessibleDescription() == "tick two photos or more"
    words = all_words(screen)
    assert quantity_text(alone.quantity) not in words  # no sway
    tick(screen, views[0], qtbot)
    assert verb.isEnabled()
    tick(screen, views[0], qtbot)
    assert not verb.isEnabled()  # a tick is taken back by the same key
    tick(screen, views[0], qtbot)
    told: list[str] = []
    demo.told.connect(told.append)
    measured(screen, qtbot)
    check = demo.round.check(KEY)
    first, joint = check.attempts
    assert joint.record.together == (first.stamp.entry,)
    assert joint.record.photo == views[1]
    covered = joint.record.result.covered
    assert isinstance(covered, Known)
    low, high = covered.quantity.interval()
    assert low <= HOLE.covered() <= high
    assert covered.quantity.u < alone.quantity.u
    assert any("Measured together with 1 other photo" in words for words in told)
    assert "measured together with 1 other photo" in history_of(check, None)[0].note
    assert verify_book(demo.root, version="0.0-test") == []


def test_photos_marked_before_are_measured_together_without_new_marks(
    demo, opened, views, qtbot
) -> None:
    screen = opened(KEY, views[0])
    mark_both(screen, demo, qtbot, views)
    accept(screen, demo, qtbot)
    go_to(screen, demo, Where("marking", KEY, photo=views[0]), qtbot)
    screen.placing.typed = dict(TYPED)
    qtbot.keyClick(screen, Qt.Key.Key_W)
    tick(screen, views[1], qtbot)
    measured(screen, qtbot)
    first, second, joint = demo.round.check(KEY).attempts
    # The last marks lead, the others stand beside them: nothing was marked again.
    assert joint.record.layer == second.record.layer
    assert joint.record.together == (first.stamp.entry,)
    assert verify_book(demo.root, version="0.0-test") == []


def test_measuring_together_is_undone_at_the_location_and_stays_legible(
    demo, opened, views, qtbot
) -> None:
    location = LocationScreen(demo)
    qtbot.addWidget(location)
    screen = opened(KEY, views[0])
    mark_both(screen, demo, qtbot, views)
    qtbot.keyClick(screen, Qt.Key.Key_W)
    tick(screen, views[0], qtbot)
    measured(screen, qtbot)
    first, joint = demo.round.check(KEY).attempts
    assert demo.round.check(KEY).current.stamp.entry == joint.stamp.entry
    location.enter(demo.where)
    assert location.foot.undo.isEnabled()
    location.questions.undo()
    ask = location.column.ask
    assert ask.title == "Strike what was measured together?"
    ask.field("reason").set_text("the wrong hole")
    ask.verb.click()
    qtbot.waitUntil(lambda: demo.round.check(KEY).current.stamp.entry == first.stamp.entry)
    struck = next(line for line in history_of(demo.round.check(KEY), None) if line.crossed)
    assert "the wrong hole" in struck.note
    assert location.filing.sitting[-1].entry == first.stamp.entry  # next in line to be undone
    assert verify_book(demo.root, version="0.0-test") == []


def test_photos_of_two_holes_are_refused_and_nothing_is_kept(demo, opened, views, qtbot) -> None:
    screen = opened(KEY, views[0])
    mark_both(screen, demo, qtbot, views, (HOLE, OTHER))
    qtbot.keyClick(screen, Qt.Key.Key_W)
    tick(screen, views[0], qtbot)
    before = demo.round.entries
    measured(screen, qtbot)
    assert demo.round.entries == before
    assert "Not done: photos 1 and 2 do not agree" in all_words(screen)
    assert screen.canvas.layer().rim("near") is not None  # what was placed stays to be looked at
    assert screen.column.page == "together"


def test_what_cannot_take_part_says_why_and_cannot_be_ticked(demo, opened, views, qtbot) -> None:
    screen = opened(KEY, views[0])
    qtbot.keyClick(screen, Qt.Key.Key_W)
    rows = screen.column.together.rows
    assert {rows.row_at(n).below for n in range(rows.count())} == {NOT_MARKED}
    tick(screen, views[1], qtbot)
    assert screen.column.together.chosen == {views[0]}
    assert screen.column.together.lacking == "tick two photos or more"
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    assert screen.column.page == "rims"
    near = layer_of(HOLE, near=12, far=9).marks[0]
    screen.canvas.set_rims(near, FarUnseen(looks="open"))
    sitting = sit_down(demo.round, demo.where, demo.by)
    own = next(
        each
        for each in shown_photos(sitting, screen.canvas.layer())
        if each.taken.photo == views[0]
    )
    assert own.why_not == "no far rim is seen in it: it says nothing to the others"


def test_marks_that_no_longer_count_say_why_and_not_that_there_are_none(
    demo, opened, views, qtbot
) -> None:
    screen = opened(KEY, views[0])
    mark_both(screen, demo, qtbot, views)
    accept(screen, demo, qtbot)
    on_second = demo.round.check(KEY).attempts[1].stamp.entry

    def told() -> dict[str, str]:
        go_to(screen, demo, Where("marking", KEY, photo=views[0]), qtbot)
        shown = shown_photos(sit_down(demo.round, demo.where, demo.by), Layer(*HOLE.size))
        return {each.taken.photo: each.why_not for each in shown}

    assert told() == dict.fromkeys(views, "")
    done: list[object] = []
    demo.act(lambda journey: journey.strike(on_second, "slipped"), then=done.append)
    qtbot.waitUntil(lambda: len(done) == 1)
    assert told() == {views[0]: "", views[1]: STRUCK}
    demo.act(lambda journey: journey.rework(KEY, what="bearing turned"), then=done.append)
    qtbot.waitUntil(lambda: len(done) == 2)
    assert told() == {views[0]: "no longer counts: reworked: bearing turned", views[1]: STRUCK}


def test_one_photo_alone_offers_no_measuring_together(demo, filed, opened, qtbot) -> None:
    screen = opened(KEY, filed("bearing-3.jpg"))
    assert not screen._verbs[0].isVisible()
