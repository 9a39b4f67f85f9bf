"""The line below the work area: what was kept, what was refused and what to do, what takes long."""

from PySide6.QtCore import QEvent, QObject, QRect, Qt, QTimer
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, part, rule
from capture.desk.where import Where

HIGH = 48  # kept free for it, so that the work area never jumps
_LONG_MS = 400  # before that nobody needs to be told that something is under way
_KEPT_MS = 6000


class Said(QWidget):
    """One sentence. A refusal stays until it was read: closed by its button, or by what is told.

    Anything else goes by itself, and at once with the screen it was said on or with the next thing
    that is filed; an empty sentence takes it away. Its row is always there; what needs more room
    lies over the lower edge of the work area.
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.setFixedHeight(HIGH)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._plate = _Plate(self)
        self._plate.close_verb.clicked.connect(lambda _=False: self._hide())
        self._going = self._timer(_KEPT_MS, self._hide)
        self._long = self._timer(_LONG_MS, self._show_busy)
        # What is said in one go with a change of screen belongs to the screen that is gone to.
        self._fresh = self._timer(0, lambda: None)
        self._busy, self._is_refusal, self._at = "", False, desk.where
        desk.told.connect(self._tell)
        desk.refused.connect(self._refuse)
        desk.busy.connect(self._be_busy)
        desk.went.connect(self._went)
        desk.round_changed.connect(lambda _: self._outlive())

    @property
    def text(self) -> str:
        """What is said now, empty if nothing is."""
        return "" if self._plate.isHidden() else self._plate.words.text()

    def _timer(self, milliseconds: int, does: object) -> QTimer:
        made = QTimer(self)
        made.setSingleShot(True)
        made.setInterval(milliseconds)
        made.timeout.connect(does)
        return made

    def _tell(self, sentence: str) -> None:
        if self._is_refusal and self._fresh.isActive():
            # Told in one breath with a refusal, which must be read too.
            if sentence:
                self._say(f"{self.text}\n{_capital(sentence)}", refusal=True)
            return
        if not sentence:
            self._hide()
            return
        self._say(_capital(sentence), refusal=False)
        self._going.start()

    def _refuse(self, sentence: str) -> None:
        self._going.stop()
        before = f"{self.text}\n" if self._is_refusal and self._fresh.isActive() else ""
        self._say(f"{before}Not done: {sentence}", refusal=True)

    def _went(self, where: Where) -> None:
        if (where.room, where.location) != (self._at.room, self._at.location):
            self._outlive()
        self._at = where

    def _outlive(self) -> None:
        """Let go of what was told before; a refusal stays, and so does what was told just now."""
        if not self._is_refusal and not self._fresh.isActive():
            self._hide()

    def _be_busy(self, words: str) -> None:
        self._busy = words
        if words:
            self._long.start()
        else:
            self._long.stop()
            if self._plate.words.text().endswith(" …") and not self._is_refusal:
                self._hide()

    def _show_busy(self) -> None:
        if self._busy and not self._is_refusal:
            self._going.stop()
            self._say(f"{_capital(self._busy)} …", refusal=False)

    def _say(self, sentence: str, *, refusal: bool) -> None:
        self._is_refusal = refusal
        self._fresh.start()
        self._plate.say(sentence, closes=refusal)

    def _hide(self) -> None:
        self._is_refusal = False
        self._going.stop()
        self._plate.hide()


class _Plate(QWidget):
    """The sentence and its button, at the foot of what holds the row, as high as it needs."""

    def __init__(self, owner: QWidget) -> None:
        super().__init__(owner)
        part(self, "work")
        self._row = owner
        self.words = label("", wrap=True)
        self.words.setAccessibleName("message")
        self.close_verb: QPushButton = Verb("Close", "Ctrl+W")
        self._line = QHBoxLayout()
        self._line.setContentsMargins(24, 0, 24, 0)
        self._line.addWidget(self.words, 1)
        self._line.addWidget(self.close_verb, 0, Qt.AlignmentFlag.AlignVCenter)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        self._edge = rule()
        down.addWidget(self._edge)
        down.addLayout(self._line, 1)
        owner.installEventFilter(self)
        self.hide()

    def say(self, sentence: str, *, closes: bool) -> None:
        """Show a sentence; ``closes``: with its button."""
        self.words.setText(sentence)
        self.close_verb.setVisible(closes)
        self._lie()
        self.show()
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Keep to the row when that is moved or has another width."""
        if event.type() in {QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.ParentChange}:
            self._lie()
        return super().eventFilter(watched, event)

    def _lie(self) -> None:
        """Lie over the row, and over what is above it where the sentence is long."""
        over = self._row.parentWidget() or self._row
        if self.parentWidget() is not over:
            shown = not self.isHidden()
            self.setParent(over)
            self.setVisible(shown)
        wide = self._row.width()
        closing = not self.close_verb.isHidden()
        words = wide - 48 - (self.close_verb.sizeHint().width() + 8 if closing else 0)
        high = max(self.words.heightForWidth(max(words, 1)), HIGH)
        self._edge.setVisible(high > HIGH)
        foot = self._row.geometry().bottom() + 1 if over is not self._row else self._row.height()
        self.setGeometry(QRect(self._row.x() if over is not self._row else 0, foot - high,
                               wide, high))  # fmt: skip
        self.raise_()


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
