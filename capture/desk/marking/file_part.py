"""Below the sizes: one of them filed as a reading of a check of this location."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label
from capture.desk.look.field import PickField
from capture.desk.marking.filed_size import Target, targets_of
from capture.desk.marking.free_sizes import Sized
from store.round import Place


class FilePart(QWidget):
    """Hidden while nothing that a check takes is measured. ``wanted`` carries (Sized, Target)."""

    wanted = Signal(object, object)

    def __init__(self) -> None:
        super().__init__()
        self._sizes: dict[str, Sized] = {}
        self._targets: dict[str, Target] = {}
        self._place: Place | None = None
        self.which = PickField("Size")
        self.check = PickField("File it as a reading of")
        self.verb = Verb("File it", "F", does=self._file)
        self._none = label("", "caption", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for widget in (self.which, self.check, self.verb, self._none):
            column.addWidget(widget)
        self.which.edited.connect(self._offer_checks)
        self.hide()

    def show_sizes(self, sizes: tuple[Sized, ...], place: Place | None) -> None:
        """Offer what was measured; the last one is the one that is most likely meant."""
        self._place = place
        known = {str(s.mark_index): s for s in sizes if s.size is not None and s.kind != "area"}
        if known != self._sizes:
            newer = [name for name in known if name not in self._sizes]
            self._sizes = known
            self.which.offer([(name, f"{s.name}, {s.label}") for name, s in known.items()])
            if newer:
                self.which.set_text(newer[-1])
        self.which.setVisible(len(known) > 1)
        self.setVisible(bool(known) and place is not None)
        self._offer_checks()

    def _offer_checks(self) -> None:
        size = self._sizes.get(self.which.text())
        if size is None or self._place is None:
            return
        targets = targets_of(size.kind, self._place)
        self._targets = {target.choice: target for target in targets}
        self.check.offer([(choice, target.words) for choice, target in self._targets.items()])
        self.check.setVisible(bool(targets))
        self.verb.setVisible(bool(targets))
        self._none.setText(
            f"No check of {self._place.location.id} takes a {size.kind}: it can't be filed here."
        )
        self._none.setVisible(not targets)

    def _file(self) -> None:
        size, target = self._sizes.get(self.which.text()), self._targets.get(self.check.text())
        if size is not None and target is not None:
            self.wanted.emit(size, target)
