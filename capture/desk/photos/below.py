"""What stands under a photo: its warnings and verbs, or in their stead one question at a time."""

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.photos.arrivals import Arrivals
from capture.desk.photos.incoming import Incoming
from capture.desk.photos.roles import Roles
from capture.desk.photos.striking import Striking
from capture.desk.photos.verbs import VerbStrip
from capture.desk.photos.warned import Warned


class Below(QWidget):
    """While something is asked, warnings and verbs give way: half a window is no more than that."""

    def __init__(self, desk: Desk, arrivals: Arrivals) -> None:
        super().__init__()
        self.warned = Warned()
        self.incoming = Incoming(desk)
        self.striking = Striking(desk)
        self.roles = Roles(arrivals)
        self.verbs = VerbStrip()
        self._asking = (self.incoming.asking, self.striking, self.roles)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        for widget in (self.warned, self.incoming, self.striking, self.roles, self.verbs):
            whole.addWidget(widget)
        for panel in self._asking:
            panel.installEventFilter(self)
        self._share()

    def say(self, sentences: tuple[str, ...]) -> None:
        """Warn of these."""
        self.warned.say(sentences)
        self._share()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Give room to a question when it is asked, and take it back."""
        if event.type() in {QEvent.Type.ShowToParent, QEvent.Type.HideToParent}:
            self._leave_one(watched, event.type() == QEvent.Type.ShowToParent)
            self._share()
        return super().eventFilter(watched, event)

    def _leave_one(self, watched: QObject, shown: bool) -> None:
        """Put away what was asked by hand where something else is asked now."""
        for panel in self._others(watched) if shown else ():
            panel.hide()

    def _others(self, watched: QObject) -> Iterable[QWidget]:
        return (panel for panel in (self.striking, self.roles) if panel is not watched)

    def _share(self) -> None:
        asking = any(not panel.isHidden() for panel in self._asking)
        self.verbs.setVisible(not asking)
        self.warned.setVisible(not asking and bool(self.warned.sentences))
