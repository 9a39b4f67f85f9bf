"""The photo of a face with what stands round it: caption, list, faces, covers, what waits."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from annotate.pane.levels import PictureLevels
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row
from capture.desk.map import words
from capture.desk.map.canvas import MapCanvas
from capture.desk.map.chips import ChipRow
from capture.desk.map.face_row import FaceRow
from capture.desk.map.faces import Face
from capture.desk.map.spot_line import SpotLine
from capture.desk.map.spot_list import SpotList
from capture.desk.photos.caption import Caption
from capture.desk.shelf import shelf_of

_ROOM_FOR_LIST = 800


class FacePart(QWidget):
    """What is shown while there is a face. The screen says what happens."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._shown = desk, ""
        self.caption = Caption()
        self.canvas = MapCanvas()
        self.list = SpotList(desk)
        self.line = SpotLine(desk)
        self.hint = label(words.STAMPS_HINT, "caption")
        self.face_row = FaceRow()
        self.back_verb = Verb("Put back", "Ctrl+Z")
        self.cover_verb = Verb(words.cover_verb(None), "H")
        self.chips = ChipRow(desk)
        self._lay_out()
        self.canvas.crowded.connect(lambda _: self._show_list())

    def show_picture(self, face: Face) -> None:
        """Show the photo of a face as soon as it is decoded."""
        if face.key == self._shown:
            return
        self._shown = face.key
        self.canvas.set_picture(None)
        shelf_of(self._desk).levels(
            face.photo.taken,
            lambda levels: self._take(face.key, levels),
            lambda refused: self._refuse(face.key, refused),
        )

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the list room only where the photo keeps enough of it."""
        super().resizeEvent(event)
        self._show_list()

    def _show_list(self) -> None:
        # In a small window the round beside the map is list enough: its numbers are the same.
        self.list.setVisible(self.canvas.is_crowded and self.width() >= _ROOM_FOR_LIST)

    def _take(self, key: str, levels: PictureLevels) -> None:
        if key == self._shown:
            self.canvas.set_picture(levels)
            self.canvas.look_again()

    def _refuse(self, key: str, refused: Refused) -> None:
        if key == self._shown:
            self._shown = ""
            self._desk.refused.emit(refused.sentence)

    def _lay_out(self) -> None:
        across = QHBoxLayout()
        across.setSpacing(8)
        across.addWidget(self.canvas, 1)
        across.addWidget(self.list)
        under = row(self.line, self.hint, gap=16)
        under.setStretch(0, 1)
        below = row(self.face_row, self.back_verb, self.cover_verb, gap=8)
        below.setStretch(0, 1)
        for verb in (self.back_verb, self.cover_verb):
            verb.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
            below.setAlignment(verb, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.caption)
        column.addLayout(across, 1)
        column.addLayout(under)
        column.addSpacing(4)
        column.addLayout(below)
        column.addWidget(self.chips)
        self.list.hide()
