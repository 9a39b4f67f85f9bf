"""The column beside the photo: one of five pages, and the one thing that is meant to be done."""

from typing import Literal

from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label
from capture.desk.look.scrolled import scrolled
from capture.desk.marking.measure_page import MeasurePage
from capture.desk.marking.rims_page import RimsPage
from capture.desk.marking.sizes_page import SizesPage
from capture.desk.marking.together_page import TogetherPage
from capture.desk.marking.who_page import WhoPage

Page = Literal["rims", "sizes", "measure", "who", "together"]
_ACCEPTS = {"rims", "sizes", "together"}


class Column(QWidget):
    """Rims, sizes, free measuring, who marks, or which photos: accepting stands below three."""

    def __init__(self) -> None:
        super().__init__()
        self.rims, self.sizes, self.measure = RimsPage(), SizesPage(), MeasurePage()
        self.who, self.together = WhoPage(), TogetherPage()
        self.accept_verb = Verb("Accept both rims", "A", primary=True)
        self._pages: dict[Page, QWidget] = {
            "rims": self.rims, "sizes": self.sizes, "measure": self.measure, "who": self.who,
            "together": self.together,
        }  # fmt: skip
        self._stack = QStackedWidget()
        self._target = label("", "caption", wrap=True)
        self._known = label("", "caption", wrap=True)
        self._page: Page = "rims"
        for page in self._pages.values():
            self._stack.addWidget(scrolled(page))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self._stack, 1)
        for widget in (self._target, self._known, self.accept_verb):
            column.addWidget(widget)

    @property
    def page(self) -> Page:
        """The page that is shown."""
        return self._page

    def turn(self, page: Page) -> None:
        """Show another page."""
        self._page = page
        self._stack.setCurrentIndex(list(self._pages).index(page))
        self.accept_verb.setVisible(page in _ACCEPTS)
        self._known.setVisible(page in _ACCEPTS)

    def tell(self, known: str, target: str) -> None:
        """Say which sizes are known, and which printed target is seen."""
        self._known.setText(known)
        self._target.setText(target)
        self._target.setVisible(bool(target) and self._page in {"rims", "measure"})
