"""Look, freeze, keep; and a camera that is pulled out, or hangs, holds nobody up."""

import cv2
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox

from capture.desk.camera.devices import Device, cameras
from capture.desk.camera.eye import Eye
from capture.desk.camera.screen import CameraScreen
from capture.desk.camera.source import Lost, VideoSource, open_camera
from capture.desk.where import Where
from capture.intake.photo import decode_upright
from store.photos import PhotoVault
from tests.capture.desk.camera.frames import UNPLUGGED, Frames, rendered
from tests.capture.desk.photos.waiting import LONG_MS, until

BENCH = Device(0, "Bench camera")


@pytest.fixture
def frames() -> Frames:
    return Frames(rendered())


@pytest.fixture
def screen(small, qtbot, frames) -> CameraScreen:
    made = CameraScreen(small, opens=lambda _: frames, lists=lambda: (BENCH,))
    qtbot.addWidget(made)
    made.resize(976, 752)
    made.show()
    small.go(Where("camera", "C1.covered"))
    made.enter(small.where)
    small.round_changed.connect(made.show_round)
    yield made
    frames.hang.set()
    made.leave()
    until(qtbot, frames.closed.is_set)


def frozen(screen, qtbot) -> None:
    until(qtbot, screen.freeze.isVisible)
    qtbot.keyClick(screen, Qt.Key.Key_Space)
    assert screen.is_frozen


def test_a_frozen_frame_is_filed_without_loss_with_camera_and_time(
    screen, small, qtbot, frames
) -> None:
    frozen(screen, qtbot)
    screen.keep.click()
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    taken = small.round.place("C1").photos[0].taken
    assert (taken.role, taken.suffix, taken.camera) == ("close-up", "png", "Bench camera")
    assert taken.camera_time.startswith("2026-03-02T09:")
    assert taken.camera_time.endswith("+01:00")
    kept = decode_upright(PhotoVault(small.root).path(taken.photo))
    assert (kept == frames.pixels).all()
    assert not screen.is_frozen


def test_where_there_is_no_camera_the_list_says_none(small, qtbot) -> None:
    made = CameraScreen(small, lists=lambda: ())
    qtbot.addWidget(made)
    made.devices.list_anew()
    box = made.devices.box
    assert isinstance(box, QComboBox)
    assert box.currentText() == "none"
    assert made.devices.device is None
    assert not box.isEnabled()


def test_a_frame_belongs_where_it_was_kept_though_one_went_on_at_once(screen, small, qtbot) -> None:
    frozen(screen, qtbot)
    screen.keep.click()
    small.go_to_check("P1.bore")
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    assert small.round.place("P1").photos == ()


def test_a_frozen_frame_can_be_looked_at_closely(screen, qtbot) -> None:
    frozen(screen, qtbot)
    until(qtbot, screen.still.isVisible)
    assert screen.still.picture_area().width() == 1600


def test_space_looks_again_and_nothing_is_filed(screen, small, qtbot) -> None:
    frozen(screen, qtbot)
    qtbot.keyClick(screen, Qt.Key.Key_Space)
    assert not screen.is_frozen
    assert small.round.place("C1").photos == ()


def test_the_figure_tells_a_sharp_picture_from_one_out_of_focus(screen, qtbot, frames) -> None:
    until(qtbot, lambda: screen.focus.words.startswith("sharp, edges"))
    frames.pixels = rendered(blur=4.0)
    until(qtbot, lambda: screen.focus.words.startswith("not sharp, edges"))
    assert screen.focus.words.endswith("px wide")


def test_a_camera_pulled_out_is_told_and_can_be_put_in_again(screen, qtbot, frames) -> None:
    until(qtbot, screen.freeze.isVisible)
    frames.unplug.set()
    until(qtbot, lambda: screen.view.words == UNPLUGGED)
    assert screen.again.isVisible()
    frames.unplug.clear()
    screen.again.click()
    until(qtbot, screen.freeze.isVisible)


def test_a_frozen_frame_can_still_be_kept_when_the_camera_is_pulled_out(
    screen, small, qtbot, frames
) -> None:
    frozen(screen, qtbot)
    with qtbot.waitSignal(small.refused, timeout=LONG_MS) as told:
        frames.unplug.set()
    assert told.args == [UNPLUGGED]
    screen.keep.click()
    until(qtbot, lambda: bool(small.round.place("C1").photos))


def test_a_camera_that_hangs_holds_up_neither_the_window_nor_leaving(screen, qtbot, frames) -> None:
    until(qtbot, screen.freeze.isVisible)
    frames.hang.clear()
    with qtbot.waitSignal(screen.eye.silent, timeout=LONG_MS):
        screen.eye._silence.start(1)
    assert screen.view.words.startswith("No picture for 3 seconds")
    screen.leave()
    assert not screen.eye.is_looking
    assert not frames.closed.is_set()


def test_another_eye_waits_until_the_camera_is_let_go(qtbot) -> None:
    eye, first, second = Eye(), Frames(rendered()), Frames(rendered())
    opened = []
    with qtbot.waitSignal(eye.seen, timeout=LONG_MS):
        eye.look(lambda: first)

    def opens() -> Frames:
        opened.append(first.closed.is_set())
        return second

    with qtbot.waitSignal(eye.seen, timeout=LONG_MS):
        eye.look(opens)
    assert opened == [True]
    eye.stop()
    until(qtbot, second.closed.is_set)


def test_without_a_camera_it_says_what_to_do(small, qtbot) -> None:
    screen = CameraScreen(small, opens=open_camera, lists=lambda: ())
    qtbot.addWidget(screen)
    screen.enter(Where("camera", "C1.covered"))
    assert screen.view.words == "No camera is listed: put its cable in, then look again"


def test_a_camera_that_cannot_be_opened_is_told(small, qtbot) -> None:
    screen = CameraScreen(small, opens=open_camera, lists=lambda: (Device(63, "Bench camera"),))
    qtbot.addWidget(screen)
    screen.enter(Where("camera", "C1.covered"))
    until(qtbot, lambda: "can't be opened" in screen.view.words)
    assert screen.view.words.startswith("Bench camera can't be opened: another program")


def test_a_video_is_read_frame_by_frame_by_the_same_source(tmp_path) -> None:
    file = str(tmp_path / "bench.avi")
    writer = cv2.VideoWriter(file, cv2.VideoWriter.fourcc(*"MJPG"), 10, (320, 240))
    for grey in (40, 120, 200):
        frame = rendered()[:240, :320].copy()
        frame[:] = (grey, 10, 10)  # BGR: mostly blue
        writer.write(frame)
    writer.release()
    source = VideoSource(file, "Bench video")
    blues = [source.read()[120, 160] for _ in range(3)]
    assert [abs(int(b[2]) - grey) <= 6 for b, grey in zip(blues, (40, 120, 200), strict=True)]
    assert all(int(b[0]) < 40 for b in blues)
    with pytest.raises(Lost, match="Bench video gives no more pictures"):
        source.read()
    source.close()


def test_cameras_are_listed_with_their_names_and_without_being_opened(tmp_path) -> None:
    nodes, named = tmp_path / "dev", tmp_path / "sys"
    for node, index, name in (("video2", "0", "Borescope"), ("video3", "1", "Borescope"),
                              ("video0", "0", "Bench camera")):  # fmt: skip
        (named / node).mkdir(parents=True)
        (named / node / "index").write_text(f"{index}\n")
        (named / node / "name").write_text(f"{name}\n")
        nodes.mkdir(exist_ok=True)
        (nodes / node).touch()
    assert cameras(nodes, named, "linux") == (Device(0, "Bench camera"), Device(2, "Borescope"))
    assert [d.listed for d in cameras(nodes, named, "win32")] == [False] * 5
