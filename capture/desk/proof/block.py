"""What to send out of the shop: roots and fingerprints, to be read and to be copied."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row
from capture.vouched import Vouched
from capture.words.proof import WHY, facts_of, message_of, notes_of, title_of


class ProofBlock(QWidget):
    """A sentence that says what to do with it, each fact under its name, and one verb."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._message = ""
        self.title = label("", bold=True, wrap=True)
        self.why = label(WHY, "caption", wrap=True)
        self.notes = label("", "caption", bold=True, wrap=True)
        self._facts = QVBoxLayout()
        self._facts.setSpacing(0)
        self.copy = Verb("Copy it as a message", "Ctrl+Shift+C", primary=True, does=self.copy_it)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(4)
        down.addWidget(self.title)
        down.addWidget(self.why)
        down.addSpacing(4)
        down.addLayout(self._facts)
        down.addWidget(self.notes)
        down.addSpacing(4)
        down.addLayout(row(self.copy, 1))

    @property
    def facts(self) -> list[str]:
        """What is shown to be compared, line by line."""
        return [
            widget.text()
            for at in range(self._facts.count())
            if (item := self._facts.itemAt(at)) and isinstance(widget := item.widget(), QLabel)
        ]

    def show_told(self, told: Vouched) -> None:
        """Show what can be sent."""
        self._message = message_of(told) if told.roots else ""
        self.title.setText(title_of(told))
        self.notes.setText("\n".join(notes_of(told)))
        self.notes.setVisible(bool(self.notes.text()))
        self.why.setVisible(bool(told.roots))
        self.copy.setVisible(bool(told.roots))
        self._clear()
        for name, characters in facts_of(told):
            self._facts.addWidget(label(name, "caption"))
            said = label(characters, wrap=True)
            said.setTextInteractionFlags(
                Qt.TextInteractionFlag.TextSelectableByMouse
                | Qt.TextInteractionFlag.TextSelectableByKeyboard
            )
            said.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
            said.setAccessibleName(name)
            self._facts.addWidget(said)

    def copy_it(self) -> None:
        """Put the message where it can be pasted from."""
        QGuiApplication.clipboard().setText(self._message)
        self._desk.told.emit("copied: paste it into a letter or a message to the customer")

    def _clear(self) -> None:
        while (item := self._facts.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
