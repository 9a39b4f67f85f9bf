"""The faces of the block as choices: where each photo was filed and how many locations it bears."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSizePolicy, QWidget

from capture.desk.look.controls import Verb
from capture.desk.look.type import font
from capture.desk.map.faces import Face
from capture.desk.map.stamp import cut

_MOST_KEYS = 9
_MOST_WIDE = 170.0
_HIGH = 48


class FaceRow(QScrollArea):
    """One verb for each face, the first nine with their figures as keys; it scrolls sideways.

    ``chosen`` carries the photo's id.
    """

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._faces: tuple[Face, ...] = ()
        self._verbs: list[Verb] = []
        inside = QWidget()
        self._line = QHBoxLayout(inside)
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setSpacing(8)
        self._line.addStretch(1)
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(_HIGH + 14)

    @property
    def verbs(self) -> list[Verb]:
        """The choices, in the order of the faces."""
        return self._verbs

    def show_faces(self, faces: tuple[Face, ...], shown: Face | None) -> None:
        """Show these faces, one of them as the one that is looked at."""
        said = [(face.key, face.name, face.bears) for face in faces]
        if said != [(face.key, face.name, face.bears) for face in self._faces]:
            self._make(faces)
        self._faces = faces
        for face, verb in zip(faces, self._verbs, strict=True):
            verb.setChecked(shown is not None and face.key == shown.key)

    def _make(self, faces: tuple[Face, ...]) -> None:
        if len(faces) == len(self._verbs):
            for face, verb in zip(faces, self._verbs, strict=True):
                verb.set_words(_words(face))
            self._faces = faces
            return
        for verb in self._verbs:
            self._line.removeWidget(verb)
            verb.hide()
            verb.deleteLater()
        self._verbs = [self._verb(n) for n in range(len(faces))]
        for n, (face, verb) in enumerate(zip(faces, self._verbs, strict=True)):
            verb.set_words(_words(face))
            self._line.insertWidget(n, verb, 0, Qt.AlignmentFlag.AlignTop)

    def _verb(self, n: int) -> Verb:
        verb = Verb("", str(n + 1) if n < _MOST_KEYS else "", does=lambda: self._choose(n))
        verb.setCheckable(True)
        return verb

    def _choose(self, n: int) -> None:
        self._verbs[n].setChecked(True)
        self.chosen.emit(self._faces[n].key)


def _words(face: Face) -> str:
    name = cut(face.name, _MOST_WIDE, QFontMetricsF(font(bold=True)).horizontalAdvance)
    return f"{name}  {face.bears}"
