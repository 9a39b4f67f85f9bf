"""Settings: who works here, how the window looks, where photos come from."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk import errands
from capture.desk import memory as remembering
from capture.desk.again import open_again
from capture.desk.camera.devices import Device, cameras
from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row, rule
from capture.desk.look.dialogs import ask_folder
from capture.desk.look.field import ChoiceField, LineField, PickField
from capture.desk.look.file_field import FileField
from capture.desk.look.palette import Palette
from capture.desk.look.scrolled import scrolled
from capture.desk.themes import chosen
from store.round import Round

_THEMES = (("system", "as the system"), ("light", "light"), ("dark", "dark"))
_SCALES = tuple((str(scale), f"{scale} %") for scale in remembering.SCALES)
_NO_CAMERA = ("-1", "none: photos are dropped or watched for")
_SIZE_WORDS = "The size is read when the window opens: the book is closed first, and opened again."


class SettingsPage(QWidget):
    """Nothing here is part of the job, but for the name under which it is worked on."""

    name = "Settings"

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.open_again: Callable[[Desk], None] = open_again
        self._opened_at = desk.memory.scale
        self.by = LineField("Who works here: this name is kept with every entry", text=desk.by)
        self.name_it = Verb("Work under this name", does=self._rename)
        self.theme = ChoiceField("Theme", _THEMES)
        self.scale = ChoiceField("Size of everything", _SCALES)
        self.again = Verb("Open the window again", "Ctrl+Return", primary=True, does=self._again)
        self.again_words = label(_SIZE_WORDS, "caption", wrap=True)
        self.watched = FileField(
            "Folder that photos arrive in", self, "", ask_folder, "empty: none is watched"
        )
        self.watch = Verb("Watch this folder", does=self._watch)
        self.cameras: Callable[[], tuple[Device, ...]] = cameras
        self.camera = PickField("Camera or microscope", (_NO_CAMERA,))
        self._looking: errands.Errand | None = None
        self._lay_out()
        self.theme.edited.connect(self._wear)
        self.scale.edited.connect(self._show_scale)
        self.camera.edited.connect(self._camera)

    def enter(self) -> None:
        """Show what is remembered."""
        memory = self.desk.memory
        self.by.set_text(self.desk.by)
        self.theme.set_text(memory.theme)
        self.scale.set_text(str(memory.scale))
        self.watched.set_text(memory.watched)
        if self._looking is not None:
            self._looking.drop()  # an older answer may come home after a newer one
        self._looking = errands.run(self.cameras, self._offer_cameras)
        self._show_scale()
        # Not the name's box: figures would be typed into it, and they choose a page.
        self.theme.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_round(self, known: Round | None) -> None:
        """Nothing here depends on the round."""

    def wear(self, palette: Palette) -> None:
        """Nothing here is painted by hand."""

    def _lay_out(self) -> None:
        inside = QWidget()
        down = QVBoxLayout(inside)
        down.setContentsMargins(0, 0, 12, 16)
        down.setSpacing(12)
        down.addWidget(self.by)
        down.addLayout(row(self.name_it, 1))
        down.addWidget(rule())
        down.addWidget(self.theme)
        down.addWidget(self.scale)
        down.addLayout(row(self.again, 1))
        down.addWidget(self.again_words)
        down.addWidget(rule())
        down.addWidget(self.watched)
        down.addLayout(row(self.watch, 1))
        down.addWidget(self.camera)
        down.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(scrolled(inside))

    def _rename(self) -> None:
        name = " ".join(self.by.text().split())
        if not name:
            self.by.set_error("say who works here: it is kept with every entry")
            return
        self.desk.rename_user(name)
        self.desk.told.emit(f"what is done from now on is kept as done by {name}")

    def _wear(self) -> None:
        self.desk.memory.theme = self.theme.text()  # type: ignore[assignment] # one of the three
        remembering.keep(self.desk.memory)
        self.desk.wear(chosen(self.desk))

    def _show_scale(self) -> None:
        wanted = int(self.scale.text())
        self.desk.memory.scale = wanted
        remembering.keep(self.desk.memory)
        other = wanted != self._opened_at
        self.again.setVisible(other)
        self.again.set_words(f"Open the window again at {wanted} %")
        self.again_words.setVisible(other)

    def _again(self) -> None:
        self.open_again(self.desk)

    def _watch(self) -> None:
        folder = self.watched.text()
        if folder and not Path(folder).is_dir():
            self.watched.set_error(f"there is no folder {folder}")
            return
        self.desk.memory.watched = folder
        remembering.keep(self.desk.memory)
        self.desk.told.emit(f"watched for photos: {folder}" if folder else "no folder is watched")

    def _offer_cameras(self, found: tuple[Device, ...]) -> None:
        """Offer those that there are, and the one that was used last, be it there or not."""
        offers = [_NO_CAMERA, *((str(each.index), each.name) for each in found)]
        last = self.desk.memory.camera
        if last >= 0 and last not in {each.index for each in found}:
            offers.append((str(last), f"camera {last + 1}, not there now"))
        self.camera.offer(offers)
        self.camera.set_text(str(last))

    def _camera(self) -> None:
        self.desk.memory.camera = int(self.camera.text())
        remembering.keep(self.desk.memory)
