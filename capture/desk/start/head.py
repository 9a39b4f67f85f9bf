"""The head of a new job: what is asked, and how much the chosen plans ask."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.look.controls import label, row


class Head(QWidget):
    """``size_words`` says how much it asks."""

    def __init__(self) -> None:
        super().__init__()
        self.size_words = label("", "caption")
        self.size_words.setAccessibleName("how much it asks")
        down = QVBoxLayout(self)
        down.setContentsMargins(24, 8, 24, 8)
        down.setSpacing(0)
        head = label("New job: what is rebuilt, for whom?", "head", bold=True)
        down.addLayout(row(head, 1, self.size_words))
