"""What the next photo is for, and what it is seen through: a row of words with their keys."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label, part
from capture.desk.photos.arrivals import Arrivals
from capture.desk.photos.choice import AT_LOCATION
from capture.desk.photos.verbs import NarrowVerb
from store.evidence import View
from store.plan import Role

_ACROSS = 3
_VIEWS: tuple[tuple[View, str, str], ...] = (
    ("direct", "seen directly", "D"), ("mirror", "in a mirror", "M"),
    ("borescope", "borescope", "B"),
)  # fmt: skip


class Roles(QWidget):
    """Hidden until it is asked for. A figure chooses a role, Esc leaves it as it was."""

    def __init__(self, arrivals: Arrivals) -> None:
        super().__init__()
        part(self, "work")
        self._arrivals = arrivals
        self._roles = {
            role: _choice(role, str(number), lambda role=role: self._choose(role))
            for number, role in enumerate(AT_LOCATION, 1)
        }
        self._views = {
            view: _choice(words, key, lambda view=view: self._see(view))
            for view, words, key in _VIEWS
        }
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 8, 0, 8)
        whole.setSpacing(4)
        whole.addWidget(label("The next photo shows", "caption"))
        whole.addLayout(_grid(list(self._roles.values())))
        whole.addLayout(_grid(list(self._views.values())))
        arrivals.changed.connect(self._mark)
        self._mark()
        self.hide()

    def ask(self) -> None:
        """Show it, or put it away if it is shown."""
        self.setVisible(self.isHidden())
        if not self.isHidden():
            self._roles[self._arrivals.next.role].setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Choose by the printed key."""
        # Not as shortcuts: a figure may be a calliper's, and is given to us only if it is not.
        text = event.text().upper()
        roles = {str(number): role for number, role in enumerate(AT_LOCATION, 1)}
        views = {key: view for view, _, key in _VIEWS}
        if text in roles:
            self._choose(roles[text])
        elif text in views:
            self._see(views[text])
        elif event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)

    def _choose(self, role: Role) -> None:
        self._arrivals.next.choose(role, self._arrivals.next.view)
        self.hide()

    def _see(self, view: View) -> None:
        self._arrivals.next.choose(self._arrivals.next.role, view)

    def _mark(self) -> None:
        for role, verb in self._roles.items():
            verb.setChecked(role == self._arrivals.next.role)
        for view, verb in self._views.items():
            verb.setChecked(view == self._arrivals.next.view)


def _choice(words: str, key: str, does: object) -> Verb:
    made = NarrowVerb(words, key=key, does=does)  # type: ignore[arg-type] # a lambda with a bound word
    made.setCheckable(True)
    return made


def _grid(verbs: list[Verb]) -> QGridLayout:
    made = QGridLayout()
    made.setSpacing(4)
    for at, verb in enumerate(verbs):
        made.addWidget(verb, at // _ACROSS, at % _ACROSS)
    return made
