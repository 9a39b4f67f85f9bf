"""What the map says, asks and offers while there is no overall photo of the block yet."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import PickField
from capture.desk.map.words import FACE_HINT, NO_FACE_CHOSEN, OF_WHICH_FACE, face_choices, no_face
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.taking import Chooser, choose_files
from capture.desk.where import Where
from store.round import Round

_WIDE = 560


class NoFace(QWidget):
    """A dashed outline where the photo will be; in it why, of which face it is, and the verbs.

    Where the photo is filed names the face: that is asked, never guessed.
    """

    def __init__(self, desk: Desk, choose: Chooser = choose_files) -> None:
        super().__init__()
        self._desk, self.choose = desk, choose
        self._choices = face_choices(None)
        self.said = label("")
        self.face = PickField(OF_WHICH_FACE, self._choices, FACE_HINT)
        self.take_verb = Verb("Take photo", "T", primary=True, does=self._take)
        self.add_verb = Verb("Add photo file", "A", does=self._add)
        self.setFocusProxy(self.face)
        self._lay_out()

    def show_round(self, known: Round) -> None:
        """Say what to do; the face that was chosen stays chosen."""
        self.said.setText(no_face(known))
        choices = face_choices(known)
        if choices != self._choices:
            self._choices = choices
            self.face.offer(choices)
        for verb in (self.take_verb, self.add_verb):
            verb.setEnabled(bool(known.places))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the dashed outline: the photo is not there yet."""
        painter = QPainter(self)
        pen = QPen(QColor(self._desk.palette.edge), 2)
        pen.setDashPattern([5.0, 4.0])
        painter.setPen(pen)
        painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))
        painter.end()

    def _lay_out(self) -> None:
        inside = QWidget()
        inside.setMinimumWidth(_WIDE)
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(16)
        column.addWidget(self.said)
        column.addWidget(self.face)
        column.addLayout(row(self.take_verb, self.add_verb, 1))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(24, 16, 24, 16)
        whole.addStretch(1)
        across = QHBoxLayout()
        across.addStretch(1)
        across.addWidget(inside)
        across.addStretch(1)
        whole.addLayout(across)
        whole.addStretch(1)

    def _location(self) -> str:
        """Return where it is to be filed, and ask for it where nobody said."""
        if not self.face.text():
            self.face.set_error(NO_FACE_CHOSEN)
            self.face.setFocus(Qt.FocusReason.OtherFocusReason)
        return self.face.text()

    def _take(self) -> None:
        location = self._location()
        if location:
            self._desk.go(Where("camera", location, part="overall"))
            arrivals_of(self._desk).next.choose("overall")

    def _add(self) -> None:
        location = self._location()
        paths = self.choose(self) if location else []
        if paths:
            arrivals_of(self._desk).take_paths(paths, location=location, role="overall")
