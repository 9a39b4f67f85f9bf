"""The camera screen: look, freeze, keep. What is kept goes the way of every photo."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import PictureLevels, levels_of
from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.camera.device_box import DeviceBox
from capture.desk.camera.devices import Device, cameras
from capture.desk.camera.eye import Eye, Frame
from capture.desk.camera.focus import Focus
from capture.desk.camera.frame_file import frame_file
from capture.desk.camera.live import LiveView
from capture.desk.camera.source import FrameSource, open_camera
from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label
from capture.desk.look.palette import Palette
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.coming import Here
from capture.desk.photos.incoming import Incoming
from capture.desk.photos.roles import Roles
from capture.desk.screen import Screen
from capture.desk.where import Where
from store.round import Round

_NONE = "No camera is listed: put its cable in, then look again"
_OPENING = "Opening the camera"
_SILENT = "No picture for 3 seconds: is the cable in? It is still being waited for"
_COLUMN = 352

Opener = Callable[[Device], FrameSource]


class CameraScreen(Screen):
    """Takes photos for the location or the hold point that it was gone to with."""

    def __init__(
        self,
        desk: Desk,
        opens: Opener = open_camera,
        lists: Callable[[], tuple[Device, ...]] = cameras,
    ) -> None:
        super().__init__(desk)
        self._opens = opens
        self._arrivals = arrivals_of(desk)
        self._where = Where("camera")
        self._frozen: Frame | None = None
        self._frozen_at = ""
        self._state: tuple[bool, bool, bool] | None = None
        self.eye = Eye(self)
        self.view, self.still = LiveView(), PhotoCanvas()
        self.focus = Focus(desk.palette)
        self.incoming = Incoming(desk)
        self.roles = Roles(self._arrivals)
        self._about = label("", "caption")
        self._head = label("", "head", bold=True, wrap=True)
        self.devices = DeviceBox(desk, lists)
        self.freeze = Verb("Freeze", key="Space", primary=True, does=self.toggle)
        self.keep = Verb("Keep it", "Ctrl+Return", primary=True, does=self.keep_frame)
        self.again = Verb("Look again", key="Space", does=self.toggle)
        self._role = Verb("Role", "F", does=self.roles.ask)
        self._back = Verb("Back", "Esc", does=self._leave)
        self._lay_out()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.devices.picked.connect(self._look_elsewhere)
        self.eye.seen.connect(self._see)
        self.eye.lost.connect(self._lose)
        self.eye.silent.connect(lambda: self.view.say(_SILENT))
        self._arrivals.changed.connect(self._say_what_for)

    def enter(self, where: Where) -> None:
        """Look for the location or hold point of ``where``."""
        self._where = where
        self.devices.list_anew()
        self._look()
        self._say_what_for()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_round(self, known: Round | None) -> None:  # noqa: ARG002 - the desk's own
        """Say anew what the next photo is for."""
        self._say_what_for()

    def leave(self) -> None:
        """Let the camera go."""
        self.eye.stop()
        self._frozen = None

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.focus.wear(palette)
        super().wear(palette)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Freeze or look again; Space is handed on to us when no calliper sent it."""
        if event.key() in {Qt.Key.Key_Space, Qt.Key.Key_T} and not event.isAutoRepeat():
            self.toggle()
        else:
            super().keyPressEvent(event)

    # --- looking --------------------------------------------------------------------------

    @property
    def is_frozen(self) -> bool:
        """Whether a frame stands still."""
        return self._frozen is not None

    def toggle(self) -> None:
        """Freeze what is seen now, or look again."""
        frame = self.eye.take()
        if self._frozen is None and frame is not None:
            self._frozen, self._frozen_at = frame, self.desk.edge.clock()
            self.view.show_frame(frame.small)
            errands.run(lambda: levels_of(frame.pixels), lambda levels: self._still(frame, levels))
            self._show_which()
        elif self._frozen is not None or not self.eye.is_looking:
            self._look()

    def _still(self, frame: Frame, levels: PictureLevels) -> None:
        """Let the frozen frame be looked at closely; until then it stands as it was seen."""
        if frame is self._frozen:
            self.still.set_picture(levels)
            self._views.setCurrentWidget(self.still)

    def keep_frame(self) -> None:
        """File the frozen frame as a photo; it is kept when the book has it."""
        frame, camera, at = self._frozen, self.devices.name, self._frozen_at
        if frame is None:
            return
        self.keep.setEnabled(False)
        # At a location a tag in the picture has its say; a hold point has no tag.
        here = self._arrivals.here()
        location = "" if here.location else self._where.location
        errands.run(
            lambda: frame_file(frame.pixels, camera, at, self.desk.scratch),
            lambda path: self._written(path, location, here),
            self._not_written,
        )

    def _written(self, path: Path, location: str, here: Here) -> None:
        self._arrivals.take_paths([path], location, here=here, passing=True)
        if self._frozen is not None:
            self._look()

    def _not_written(self, refused: Refused) -> None:
        self.keep.setEnabled(True)
        self.desk.refused.emit(refused.sentence)

    def _look(self) -> None:
        self._frozen = None
        self.still.set_picture(None)
        self.focus.clear()
        device = self.devices.device
        if device is None:
            self.devices.list_anew()
            device = self.devices.device
        if device is None:
            self.eye.stop()
            self.view.say(_NONE)
        elif not self.eye.is_looking:
            self.view.say(_OPENING)
            opens = self._opens
            self.eye.look(lambda: opens(device))
        self._show_which()

    def _look_elsewhere(self) -> None:
        self.eye.stop()
        self._look()

    def _see(self) -> None:
        frame = self.eye.take()
        if frame is not None and self._frozen is None:
            self.view.show_frame(frame.small)
            self.focus.show_width(frame.width_px)
            self._show_which()

    def _lose(self, why: str) -> None:
        """Say why there is no picture. A frozen one stays: it may still be kept."""
        self.view.say(why[:1].upper() + why[1:])
        self.focus.clear()
        if self._frozen is not None:
            self.desk.refused.emit(why)
        self._show_which()

    def _show_which(self) -> None:
        frozen, looking = self._frozen is not None, self.eye.is_looking
        state = (frozen, looking, self.eye.take() is not None)
        if state == self._state:
            return
        self._state = state
        if not frozen:
            self._views.setCurrentWidget(self.view)
        self.freeze.setVisible(not frozen and state[2])
        self.again.setVisible(frozen or not looking)
        self.keep.setVisible(frozen)
        self.keep.setEnabled(frozen)
        # Where the verb that had the focus is gone, Space must not fall to another one.
        if not self.devices.hasFocus():
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _say_what_for(self) -> None:
        place, hold = self.desk.place, self._where.location
        self._about.setText(f"{place.location.id}  ·  {place.location.name}" if place else hold)
        what = self._arrivals.next.role if place else "what closes it"
        self._head.setText(f"Take a photo: {what}" if place or hold else "Take a photo")
        self._role.setVisible(place is not None)

    def _leave(self) -> None:
        if not self.roles.isHidden():
            self.roles.hide()
        elif self._where.key:
            self.desk.go_back()

    def _lay_out(self) -> None:
        self._views = QStackedWidget()
        self._views.addWidget(self.view)
        self._views.addWidget(self.still)
        left = QVBoxLayout()
        left.setSpacing(8)
        left.addWidget(self._about)
        left.addWidget(self._head)
        left.addWidget(self._views, 1)
        left.addWidget(self.incoming)
        left.addWidget(self.roles)
        column = QWidget()
        column.setFixedWidth(_COLUMN)
        right = QVBoxLayout(column)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(12)
        right.addWidget(self.devices)
        right.addSpacing(12)
        right.addWidget(self.focus)
        right.addSpacing(12)
        for verb in (self.keep, self.freeze, self.again, self._role):
            right.addWidget(verb)
        right.addStretch(1)
        right.addWidget(self._back)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(24, 8, 24, 24)
        whole.setSpacing(24)
        whole.addLayout(left, 1)
        whole.addWidget(column)
