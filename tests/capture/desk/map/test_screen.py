"""The map with real presses, drags and keys on a real book."""

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from annotate.marks import Point
from capture.desk.look.palette import DARK, LIGHT
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.walk.drawn_lying import draw_lying
from capture.desk.walk.lying import Lying
from capture.desk.where import Where
from capture.intake.photo import read_photo
from store.evidence import MapPlaced
from tests.capture.command import SAMPLES
from tests.capture.desk.map.conftest import OTHER, placed

LEFT = Qt.MouseButton.LeftButton
AT = {"K1": (260, 640), "K2": (620, 640), "K3": (980, 640), "K4": (1340, 640), "G1": (190, 250)}


@pytest.mark.parametrize(("wide", "high"), [(976, 752), (1520, 600)])
def test_no_stamp_lies_off_the_photo(opened, acted, face, wide, high) -> None:
    def work(journey) -> None:
        for location, at in {"K1": (8, 8), "K2": (10, 900), "K3": (1590, 20)}.items():
            journey.place_on_map(location, face, *at)

    acted(work)
    canvas = opened(wide=wide, high=high).canvas
    view = canvas.viewportTransform()
    photo = view.mapRect(canvas.picture_area())
    plates = [canvas.board.plate_of(spot.number, view) for spot in canvas.board.spots]
    assert len(plates) == 3
    for rect in plates:
        assert rect is not None
        assert photo.contains(rect)


@pytest.mark.parametrize("palette", [DARK, LIGHT])
def test_what_was_never_fitted_is_solid_and_no_empty_bore(palette, qapp) -> None:
    def drawn(lies: Lying) -> QImage:
        image = QImage(20, 20, QImage.Format.Format_RGB32)
        image.fill(QColor(palette.sheet))
        painter = QPainter(image)
        draw_lying(painter, QRectF(0, 0, 20, 20), lies, palette)
        painter.end()
        return image

    never = drawn(Lying("no limit", "never fitted", fitted=False))
    recorded = drawn(Lying("no limit", "recorded"))
    assert never != recorded
    # Solid from wall to wall where a bore would be open, and bare above the face.
    sheet = QColor(palette.sheet)
    assert all(never.pixelColor(x, 15) != sheet for x in range(20))
    assert all(never.pixelColor(x, 4) == sheet for x in range(20))


@pytest.fixture
def mapped(acted, face) -> str:
    """Five locations on the face."""

    def work(journey) -> None:
        for location, (x, y) in AT.items():
            journey.place_on_map(location, face, x, y)

    acted(work)
    return face


def on_screen(screen, at: tuple[float, float]) -> QPoint:
    return screen.canvas.to_viewport(Point(*at)).toPoint()


def number(screen, location: str) -> int:
    return next(spot.number for spot in screen.spots if spot.key == location)


def plate(screen, location: str) -> QPoint:
    canvas = screen.canvas
    rect = canvas.board.plate_of(number(screen, location), canvas.viewportTransform())
    assert rect is not None
    return rect.center().toPoint()


def press(qtbot, screen, at: QPoint) -> None:
    qtbot.mouseClick(screen.canvas.viewport(), LEFT, pos=at)


def drag(qtbot, screen, start: QPoint, end: QPoint) -> None:
    viewport = screen.canvas.viewport()
    qtbot.mousePress(viewport, LEFT, pos=start)
    for share in (0.3, 0.7, 1.0):
        qtbot.mouseMove(viewport, start + (end - start) * share)
    qtbot.mouseRelease(viewport, LEFT, pos=end)


# --- no face yet ------------------------------------------------------------------------------


def test_without_an_overall_photo_it_is_asked_which_face_it_shows(demo, opened, qtbot) -> None:
    screen = opened()
    none = screen.none
    assert none.isVisible()
    assert not screen.part.isVisible()
    assert "take one of each face" in none.said.text()
    qtbot.keyClick(screen, Qt.Key.Key_T)
    assert demo.where.room == "map"
    assert "choose the location" in none.face.error
    none.face.set_text("K2")
    qtbot.keyClick(screen, Qt.Key.Key_T)
    assert (demo.where.room, demo.where.key, demo.where.part) == ("camera", "K2", "overall")
    assert arrivals_of(demo).next.role == "overall"


def test_a_photo_file_is_filed_as_the_face_that_was_chosen(demo, opened, qtbot) -> None:
    screen = opened()
    screen.none.choose = lambda _: [SAMPLES / OTHER]
    qtbot.keyClick(screen, Qt.Key.Key_A)
    assert screen.none.face.error
    screen.none.face.set_text("K2")
    qtbot.keyClick(screen, Qt.Key.Key_A)
    qtbot.waitUntil(screen.part.isVisible)
    assert screen.face is not None
    assert screen.face.photo.taken.role == "overall"
    assert screen.face.name == demo.round.place("K2").location.name
    qtbot.waitUntil(lambda: screen.canvas.picture_area().width() > 100)


def test_the_empty_map_is_sheet_coloured(demo, opened) -> None:
    screen = opened()
    seen = screen.none.grab().toImage()
    assert seen.pixelColor(seen.width() - 12, 12).lightness() > 200


# --- going there ------------------------------------------------------------------------------


def test_pressing_a_plate_or_its_place_goes_there(demo, opened, mapped, qtbot) -> None:
    screen = opened()
    press(qtbot, screen, plate(screen, "K3"))
    assert (demo.where.room, demo.where.location) == ("location", "K3")
    screen.enter(Where("map"))
    press(qtbot, screen, on_screen(screen, AT["G1"]))
    assert demo.where.location == "G1"


def test_the_keyboard_goes_from_plate_to_plate_and_there(demo, opened, mapped, qtbot) -> None:
    screen = opened()
    canvas = screen.canvas
    canvas.setFocus()
    heard = []
    for _ in AT:
        qtbot.keyClick(canvas, Qt.Key.Key_Tab)
        heard.append(canvas.accessibleDescription())
    assert len(set(heard)) == len(AT)
    assert all("not measured" in words for words in heard)
    qtbot.keyClick(canvas, Qt.Key.Key_Space)
    assert demo.where.room == "location"
    assert f"{number(screen, demo.where.location)} " in heard[-1]


def test_return_goes_nowhere(demo, opened, mapped, qtbot) -> None:
    screen = opened()
    screen.canvas.setFocus()
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Tab)
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Return)
    assert demo.where.room == "map"


def test_the_location_of_the_round_is_ringed_and_its_face_shown(demo, opened, mapped) -> None:
    screen = opened(Where("map", "K2.bore"))
    ringed = [pin.text for pin in screen.canvas.board.pins if pin.ringed]
    assert ringed == [str(number(screen, "K2"))]


# --- moving -----------------------------------------------------------------------------------


def test_a_dragged_pin_is_a_new_entry_and_put_back_is_another(demo, opened, mapped, qtbot) -> None:
    screen = opened()
    before = demo.round.entries
    drag(qtbot, screen, on_screen(screen, AT["K1"]), on_screen(screen, (400, 700)))
    qtbot.waitUntil(lambda: placed(demo, "K1") != AT["K1"])
    x, y = placed(demo, "K1")
    slack = 1.0 / screen.canvas.zoom()  # a pixel of the screen
    assert x == pytest.approx(400, abs=slack)
    assert y == pytest.approx(700, abs=slack)
    assert demo.round.entries == before + 1
    qtbot.waitUntil(screen.part.back_verb.isEnabled)  # told after the round is
    qtbot.keyClick(screen, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: placed(demo, "K1") == AT["K1"])
    assert demo.round.entries == before + 2
    assert not screen.part.back_verb.isEnabled()


def test_arrow_keys_move_a_pin_and_space_sets_it_in_one_entry(demo, opened, mapped, qtbot) -> None:
    screen = opened()
    canvas, before = screen.canvas, demo.round.entries
    canvas.setFocus()
    qtbot.keyClick(canvas, Qt.Key.Key_Tab)
    moved = screen.canvas.board.spots[canvas.board.active]
    for _ in range(5):
        qtbot.keyClick(canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert "Space sets it" in screen.part.hint.text()
    assert demo.round.entries == before
    qtbot.keyClick(canvas, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: demo.round.entries == before + 1)
    x, y = placed(demo, moved.key)
    # Five times ten steps of two pixels of the screen.
    assert x == pytest.approx(moved.at.x_px + 100 / canvas.zoom(), abs=0.01)
    assert y == pytest.approx(moved.at.y_px)
    assert demo.where.room == "map"


def test_esc_puts_a_nudged_pin_back_and_files_nothing(demo, opened, mapped, qtbot) -> None:
    screen = opened()
    canvas, before = screen.canvas, demo.round.entries
    canvas.setFocus()
    qtbot.keyClick(canvas, Qt.Key.Key_Tab)
    spot = canvas.board.spots[canvas.board.active]
    qtbot.keyClick(canvas, Qt.Key.Key_Down)
    assert canvas.board.pins[canvas.board.active].at != spot.at
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    assert canvas.board.pins[canvas.board.active].at == spot.at
    canvas.clearFocus()
    done: list[object] = []
    demo.act(lambda journey: journey.round(), then=done.append)
    qtbot.waitUntil(lambda: bool(done))
    assert demo.round.entries == before


# --- placing ----------------------------------------------------------------------------------


def test_a_chip_is_dragged_on_with_the_mouse(demo, opened, face, qtbot) -> None:
    screen = opened()
    chip = next(c for c in screen.chips.chips if c.spot.key == "A1")
    target = screen.canvas.viewport().mapToGlobal(on_screen(screen, (700, 400)))
    start = QPoint(30, 20)
    qtbot.mousePress(chip, LEFT, pos=start)
    for share in (0.2, 0.6, 1.0):
        end = chip.mapFromGlobal(target)
        qtbot.mouseMove(chip, start + (end - start) * share)
    qtbot.mouseRelease(chip, LEFT, pos=chip.mapFromGlobal(target))
    qtbot.waitUntil(lambda: placed(demo, "A1") is not None)
    x, y = placed(demo, "A1")
    slack = 1.5 / screen.canvas.zoom()
    assert (x, y) == (pytest.approx(700, abs=slack), pytest.approx(400, abs=slack))
    assert "A1" not in [c.spot.key for c in screen.chips.chips]


def test_a_chip_let_go_beside_the_photo_stays_where_it_was(demo, opened, face, qtbot) -> None:
    screen = opened()
    chip, before = screen.chips.chips[0], demo.round.entries
    qtbot.mousePress(chip, LEFT, pos=QPoint(30, 20))
    qtbot.mouseMove(chip, QPoint(80, 25))
    qtbot.mouseRelease(chip, LEFT, pos=QPoint(80, 25))
    done: list[object] = []
    demo.act(lambda journey: journey.round(), then=done.append)
    qtbot.waitUntil(lambda: bool(done))
    assert demo.round.entries == before
    assert not chip.isChecked()


def test_chosen_and_pressed_on_goes_on_to_the_next_that_waits(demo, opened, face, qtbot) -> None:
    screen = opened()
    first, second = (chip.spot for chip in screen.chips.chips[:2])
    qtbot.mouseClick(screen.chips.chips[0], LEFT)
    assert screen.title.text() == f"Where is {first.number}, {first.name}?"
    press(qtbot, screen, on_screen(screen, (300, 300)))
    qtbot.waitUntil(lambda: placed(demo, first.key) is not None)
    qtbot.waitUntil(lambda: screen.title.text() == f"Where is {second.number}, {second.name}?")
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Escape)
    assert screen.title.text() == "Where is it on the block?"


def test_placing_with_the_keyboard_alone(demo, opened, face, qtbot) -> None:
    screen = opened()
    chip = next(c for c in screen.chips.chips if c.spot.key == "K1")
    chip.setFocus()
    qtbot.keyClick(chip, Qt.Key.Key_Space)
    assert screen.canvas.hasFocus()
    middle = screen.canvas.centre()
    for _ in range(3):
        qtbot.keyClick(screen.canvas, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: placed(demo, "K1") is not None)
    x, y = placed(demo, "K1")
    assert x == pytest.approx(middle.x_px - 60 / screen.canvas.zoom(), abs=0.01)
    assert y == pytest.approx(middle.y_px, abs=0.01)


def test_a_first_placing_put_back_is_struck_and_it_waits_again(demo, opened, face, qtbot) -> None:
    screen = opened()
    screen.choose("K1")
    press(qtbot, screen, on_screen(screen, (300, 300)))
    qtbot.waitUntil(lambda: placed(demo, "K1") is not None)
    qtbot.waitUntil(screen.part.back_verb.isEnabled)
    qtbot.mouseClick(screen.part.back_verb, LEFT)
    qtbot.waitUntil(lambda: placed(demo, "K1") is None)
    assert "K1" in [c.spot.key for c in screen.chips.chips]


def test_while_placing_a_press_on_a_plate_points_and_goes_nowhere(
    demo, opened, mapped, qtbot
) -> None:
    screen = opened()
    screen.choose("K5")
    press(qtbot, screen, plate(screen, "K3"))
    qtbot.waitUntil(lambda: placed(demo, "K5") is not None)
    assert demo.where.room == "map"


def test_a_refusal_is_told_and_every_pin_is_where_it_was(
    demo, opened, mapped, qtbot, monkeypatch
) -> None:
    screen = opened()
    told: list[str] = []
    demo.refused.connect(told.append)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    def refuse(journey) -> None:
        monkeypatch.setattr(
            journey,
            "place_on_map",
            lambda *_: (_ for _ in ()).throw(OSError(28, "No space left on device")),
        )

    done: list[object] = []
    demo.act(refuse, then=done.append)
    qtbot.waitUntil(lambda: bool(done))
    drag(qtbot, screen, on_screen(screen, AT["K1"]), on_screen(screen, (400, 700)))
    qtbot.waitUntil(lambda: bool(told))
    assert "no space left" in told[0]
    pin = next(p for p in screen.canvas.board.pins if p.text == str(number(screen, "K1")))
    assert (pin.at.x_px, pin.at.y_px) == AT["K1"]
    assert not screen.part.back_verb.isEnabled()


# --- faces and covers -------------------------------------------------------------------------


def test_faces_are_chosen_by_figure_and_show_what_is_on_each(
    demo, opened, mapped, acted, qtbot
) -> None:
    acted(lambda j: j.add_photo(read_photo(SAMPLES / OTHER), location="T1", role="overall"))
    screen = opened()
    assert [verb.words().rsplit("  ", 1)[1] for verb in screen.part.face_row.verbs] == ["5", "0"]
    assert screen.face.key == mapped
    qtbot.keyClick(screen, Qt.Key.Key_2)
    assert screen.face.key != mapped
    assert screen.canvas.board.pins == ()
    assert screen.part.face_row.verbs[1].isChecked()
    qtbot.keyClick(screen, Qt.Key.Key_1)
    assert len(screen.canvas.board.pins) == 5


def test_a_struck_face_is_none_and_what_was_on_it_waits_again(
    demo, opened, mapped, acted, qtbot
) -> None:
    screen = opened()
    stamp = demo.round.place("A1").photos[0].stamp
    acted(lambda j: j.strike(stamp.entry, "another engine"))
    assert screen.face is None
    assert screen.none.isVisible()


def test_covers_are_gone_through_with_a_key_and_said(demo, opened, mapped, qtbot) -> None:
    screen = opened()
    belts = set()
    for _ in range(len(demo.round.holds) + 1):
        cover = screen.cover
        words = screen.part.caption.text
        if cover is None:
            assert "dashed" not in words
        else:
            assert f"dashed: what \u201c{cover.name}\u201d will hide" in words
            hidden = set(demo.round.hold(cover.id).hides)
            assert hidden & set(AT)
        belts.add(cover.id if cover else "")
        qtbot.keyClick(screen, Qt.Key.Key_H)
    hiding = {h.hold_point.id for h in demo.round.holds if set(h.hides) & set(AT)}
    assert belts == hiding | {""}


def test_the_belt_is_painted_round_what_is_hidden_and_not_round_the_rest(
    demo, opened, mapped, qtbot
) -> None:
    screen = opened()
    while screen.cover is None or "G1" not in demo.round.hold(screen.cover.id).hides:
        qtbot.keyClick(screen, Qt.Key.Key_H)
    canvas = screen.canvas
    with_belt = canvas.grab().toImage()
    while screen.cover is not None:
        qtbot.keyClick(screen, Qt.Key.Key_H)
    without = canvas.grab().toImage()

    def changed(at: tuple[float, float]) -> bool:
        foot = canvas.to_viewport(Point(*at)) + QPointF(canvas.frameWidth(), 0)
        around = [foot + QPointF(dx, dy) for dx in range(-44, 45, 2) for dy in (-38, -40, -42, 0)]
        return any(with_belt.pixel(p.toPoint()) != without.pixel(p.toPoint()) for p in around)

    hides = {hide for h in demo.round.holds if "G1" in h.hides for hide in h.hides}
    assert changed(AT["G1"])
    for location, at in AT.items():
        if location not in hides:
            assert not changed(at)


# --- crowds, themes, sizes --------------------------------------------------------------------


def test_a_crowded_face_has_stamps_and_a_list(demo, opened, acted, face, qtbot) -> None:
    def crowd(journey) -> None:
        for n, location in enumerate(journey.plan.locations):
            journey.place_on_map(location.id, face, 120 + 230 * (n % 6), 120 + 140 * (n // 6))

    acted(crowd)
    screen = opened()
    assert screen.canvas.board.crowded
    assert screen.part.list.isVisible()
    assert len(screen.part.list.items) == len(demo.round.places)
    assert not screen.chips.isVisible()
    screen.part.list.setFocus()
    screen.part.list.setCurrentIndex(screen.part.list.spoken.find("K3"))
    qtbot.keyClick(screen.part.list, Qt.Key.Key_Space)
    assert demo.where.location == "K3"


def test_a_small_window_leaves_the_room_to_the_photo(demo, opened, acted, face, qtbot) -> None:
    acted(
        lambda j: [
            j.place_on_map(location.id, face, 120 + 230 * (n % 6), 120 + 140 * (n // 6))
            for n, location in enumerate(j.plan.locations)
        ]
    )
    screen = opened(wide=720, high=560)
    assert screen.canvas.is_crowded
    assert not screen.part.list.isVisible()
    screen.resize(976, 752)
    assert screen.part.list.isVisible()


@pytest.mark.parametrize("size", [(720, 560), (976, 752), (1520, 1032)])
def test_nothing_is_cut_at_any_size_and_every_target_can_be_hit(
    demo, opened, mapped, qtbot, size
) -> None:
    screen = opened(wide=size[0], high=size[1])
    screen.wear(DARK)
    whole = screen.rect()
    for widget in (screen.canvas, screen.part.cover_verb, screen.part.back_verb, screen.chips):
        box = widget.rect().translated(widget.mapTo(screen, QPoint()))
        assert whole.contains(box), widget
    for verb in (*screen.part.face_row.verbs, *screen.chips.chips, screen.part.cover_verb):
        assert verb.height() >= 48
    view = screen.canvas.viewportTransform()
    for location in AT:
        rect = screen.canvas.board.plate_of(number(screen, location), view)
        assert rect is not None
        assert screen.canvas.viewport().rect().contains(rect.toRect())


def test_what_is_read_moves_on_to_the_map(demo, opened, mapped, acted) -> None:
    screen = opened()
    acted(lambda j: j.reading("R1.looked-through", "yes"))
    acted(lambda j: j.place_on_map("R1", mapped, 500, 200))
    spot = next(s for s in screen.canvas.board.spots if s.key == "R1")
    assert spot.lying.state == "within"
    told = demo.round.place("R1").on_map
    assert isinstance(told.record, MapPlaced)


# --- what stands on the metal -----------------------------------------------------------------


def test_a_stamp_is_small_and_covers_no_hole(demo, opened, mapped) -> None:
    screen = opened()
    canvas = screen.canvas
    view = canvas.viewportTransform()
    # The sample's core holes: their radius is a tenth of the picture's height at most.
    radius = 0.1 * canvas.picture_area().height() * canvas.zoom()
    for location in AT:
        rect = canvas.board.plate_of(number(screen, location), view)
        assert rect.width() < 80
        for at in AT.values():
            foot = canvas.to_viewport(Point(*at))
            near = QPointF(
                min(max(foot.x(), rect.left()), rect.right()),
                min(max(foot.y(), rect.top()), rect.bottom()),
            )
            assert (near - foot).x() ** 2 + (near - foot).y() ** 2 >= radius**2


def test_name_and_word_are_said_under_the_photo_of_the_one_in_hand(
    demo, opened, mapped, qtbot
) -> None:
    screen = opened(Where("map", "K2.bore"))
    assert screen.part.line.spot.key == "K2"
    screen.canvas.setFocus()
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Tab)
    in_hand = screen.canvas.board.spots[screen.canvas.board.active]
    assert screen.part.line.spot == in_hand
    assert in_hand.name in screen.part.line.accessibleName()
    assert "not measured" in screen.part.line.accessibleName()
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Escape)
    assert screen.part.line.spot.key == "K2"
