"""What is coming in, and what has to be asked about it: under the photo, never in a dialog."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, part, row
from capture.desk.look.type import font
from capture.desk.photos.arrivals import Arrivals, arrivals_of
from capture.desk.photos.coming import Question
from capture.desk.photos.watched import watched_of

_WITH_THEIR_OWN = ("location", "camera")


class Incoming(QWidget):
    """Hidden while nothing comes in and nothing is asked.

    The rooms that show photos have one of their own; ``elsewhere`` makes the one of the window,
    which is seen in all others: a watched folder asks wherever somebody is.
    """

    def __init__(self, desk: Desk, *, elsewhere: bool = False) -> None:
        super().__init__()
        part(self, "work")
        self._desk, self._elsewhere = desk, elsewhere
        self.arrivals: Arrivals = arrivals_of(desk)
        watched_of(desk)  # a folder that was watched last time is watched again
        self._progress = label("", "caption")
        self.asking = QWidget()
        self._asked = label("", wrap=True)
        self._asked.setAccessibleName("question about a photo")
        self._where = QComboBox()
        self._where.setFont(font())
        self._where.setAccessibleName("location")
        self._where.setMaxVisibleItems(12)
        self._verbs = {
            "where": Verb("File here", "Alt+H", primary=True, does=self._file_where),
            "every": Verb("All of them", "Alt+A", does=self._file_every),
            "unreadable": Verb("Keep anyway", "Alt+K", does=self.arrivals.keep_anyway),
            "again": Verb("File again", "Alt+F", does=self.arrivals.file_again),
            "there": Verb("Take in", "Alt+T", does=self.arrivals.take_in),
            "leave": Verb("Leave out", "Alt+L", does=self.arrivals.leave_out),
        }
        self._where.currentIndexChanged.connect(self._picked)
        self._lay_out()
        self._shown: Question | None = None
        self.arrivals.changed.connect(self._draw)
        desk.went.connect(self._draw)
        desk.round_changed.connect(self._list_locations)
        self._list_locations()
        self._draw()

    @property
    def text(self) -> str:
        """What is asked or being done, "" when neither."""
        return "" if self.isHidden() else self._asked.text() or self._progress.text()

    def _lay_out(self) -> None:
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 4, 0, 4)
        whole.setSpacing(4)
        whole.addWidget(self._progress)
        whole.addWidget(self.asking)
        asking = QVBoxLayout(self.asking)
        asking.setContentsMargins(0, 0, 0, 0)
        asking.setSpacing(8)
        asking.addWidget(self._asked)
        asking.addWidget(self._where)
        asking.addLayout(row(*self._verbs.values(), 1, gap=8))

    def _draw(self) -> None:
        question, progress = self.arrivals.question, self.arrivals.progress
        kind, waiting = question.kind if question else "", self.arrivals.questions
        several = f"1 of {waiting} photos to ask about" if waiting > 1 else ""
        self._progress.setText(f"{progress} …" if progress else several)
        self._progress.setVisible(bool(self._progress.text()))
        self._asked.setText(question.sentence if question else "")
        self._where.setVisible(kind == "where")
        shown = {kind, "leave", "every" if kind == "where" and waiting > 1 else ""}
        for name, verb in self._verbs.items():
            verb.setVisible(name in shown)
        self.asking.setVisible(question is not None)
        here = (self._desk.where.room in _WITH_THEIR_OWN) != self._elsewhere
        self.setVisible(here and (bool(progress) or question is not None))
        # Whoever is typing a reading goes on typing it: the keys are printed on the verbs.
        typing = isinstance(QApplication.focusWidget(), QLineEdit)
        if question is not self._shown:
            self._where.setCurrentIndex(0)
        if question is not None and question is not self._shown and not typing:
            first = self._where if kind == "where" else self._verbs["leave"]
            first.setFocus(Qt.FocusReason.OtherFocusReason)
        self._shown = question

    def _list_locations(self) -> None:
        known, chosen = self._desk.round, self._where.currentData()
        self._where.clear()
        self._where.addItem("Which location?", "")  # none is taken for granted
        for place in known.places if known else ():
            self._where.addItem(f"{place.location.id}  {place.location.name}", place.location.id)
        for hold in known.holds if known else ():
            self._where.addItem(f"{hold.hold_point.id}  {hold.hold_point.name}, what closes it",
                                hold.hold_point.id)  # fmt: skip
        self._where.setCurrentIndex(max(0, self._where.findData(chosen)))

    def _picked(self) -> None:
        chosen = bool(self._where.currentData())
        self._verbs["where"].setEnabled(chosen)
        self._verbs["every"].setEnabled(chosen)

    def _file_where(self) -> None:
        self.arrivals.say_where(str(self._where.currentData()))

    def _file_every(self) -> None:
        self.arrivals.say_where(str(self._where.currentData()), every=True)
