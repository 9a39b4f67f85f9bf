"""The column beside the photo while rims are placed: how well they fit, and nothing of the number.

No sway: neither the number nor the verdict nor the limit stands here in any form.
"""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from annotate.marks import FarOutline, FarUnseen, Layer, Rim
from annotate.pane.fit_strip import FitStrip, StripColours
from annotate.pane.rim_fit import RimFit, fit_rim
from annotate.quantity import Quantity
from annotate.routes.outlined import outline_of
from capture.desk.limit.clauses import capital
from capture.desk.look.controls import VERB_HEIGHT, label, row, rule
from capture.desk.look.flow import Flow
from capture.desk.look.palette import Palette
from capture.desk.look.type import font
from capture.desk.marking.key_line import KeyVerb
from capture.desk.marking.rim_names import RimNames
from capture.words.quantities import given_text

COVERED = (
    "The number and the limit stay covered until you accept, so that they cannot lead the hand."
)
_UNSEEN = {
    "open": "No far rim is seen: all that shows is open.",
    "shut": "No far rim is seen: all that shows is material.",
}
_NO_FAR = "No far rim in sight?"
_NOT_ROUND = "{far} not round?"


class RimsPage(QWidget):
    """Both rims' strips, what was left out and where, and the ways to place a rim by hand."""

    by_hand = Signal(str)  # a tool of the canvas
    far_unseen = Signal(str)  # open or shut
    second_wanted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._note = label("", wrap=True)
        self._names = RimNames()
        self._near, self._far = _RimBlock(), _RimBlock()
        self._by_hand = (
            KeyVerb("near rim", "N", does=lambda: self.by_hand.emit("near rim")),
            KeyVerb("far rim", "F", does=lambda: self.by_hand.emit("far rim")),
        )
        self._no_far = label(_NO_FAR, "caption")
        self._not_round = label("", "caption")
        self._hand, self._seen, self._drawn = QWidget(), QWidget(), QWidget()
        self._second = KeyVerb("second marks, blind", "B", does=self.second_wanted.emit)
        self._cover = _Covered(COVERED)
        self._lay_out()

    def _lay_out(self) -> None:
        # Lines that flow: the shop's own names of the holes may be long, the column is not wide.
        self._hand.setLayout(Flow(_lead(label("By hand", "caption")), *self._by_hand, gap=8))
        opened = KeyVerb("all open", "O", does=lambda: self.far_unseen.emit("open"))
        shut = KeyVerb("all shut", "U", does=lambda: self.far_unseen.emit("shut"))
        self._seen.setLayout(Flow(_lead(self._no_far), opened, shut, gap=0))
        draw = KeyVerb("draw the opening", "D", does=lambda: self.by_hand.emit("far outline"))
        self._drawn.setLayout(Flow(_lead(self._not_round), draw, gap=0))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for widget in (self._note, self._near, self._far, self._hand, self._seen, self._drawn):
            column.addWidget(widget)
        column.addWidget(self._second, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(rule())
        column.addWidget(self._cover)
        column.addStretch(1)

    @property
    def verbs(self) -> tuple[KeyVerb, ...]:
        """The buttons of this page."""
        return tuple(self.findChildren(KeyVerb))

    def name_rims(self, names: RimNames) -> None:
        """Call the two rims as the plan calls what they belong to."""
        if names != self._names or not self._near.name:
            self._names = names
            self._no_far.setText(names.put_in(_NO_FAR))
            self._not_round.setText(_NOT_ROUND.format(far=capital(names.far)))
            for verb, block, name in zip(
                self._by_hand, (self._near, self._far), names, strict=True
            ):
                verb.set_words(name)
                block.call(names, name)

    def say(self, words: str) -> None:
        """Say what to do, what was found or why not; "" for nothing."""
        self._note.setText(words)
        self._note.setVisible(bool(words))

    def offer_second(self, *, shown: bool) -> None:
        """Offer that another person places marks too, without seeing the first ones."""
        self._second.setVisible(shown)

    def show_layer(self, layer: Layer, far_size: Quantity | None) -> None:
        """Show how the rims of a layer fit. Fits that were made beforehand cost nothing."""
        near = layer.rim("near")
        near_fit = fit_rim(near) if near is not None else None
        far = layer.rim("far")
        form = near_fit.outline if near_fit is not None else None
        self._near.show_rim(near, near_fit, "")
        rest = f"known size {given_text(far_size)} does the rest." if far_size else ""
        self._far.show_rim(far, fit_rim(far, form) if far is not None else None, rest)
        said = next((m for m in layer.marks if isinstance(m, FarUnseen)), None)
        drawn = outline_of(layer)
        if drawn is not None:
            self._far.say(_drawn_words(drawn))
        elif said is not None and far is None:
            self._far.say(self._names.put_in(_UNSEEN[said.looks]))
        self._seen.setVisible(near is not None and far is None and drawn is None)
        self._cover.setVisible(near is not None)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        colours = StripColours(
            well=palette.well, band=palette.slab, ink=palette.ink, edge=palette.edge,
            dot=palette.accent, hatch=palette.hatch,
        )  # fmt: skip
        for block in (self._near, self._far):
            block.strip.wear(colours)
        self._cover.edge = palette.edge
        self._cover.update()


def _lead(words: QLabel) -> QLabel:
    """Return a label as high as the verbs that it leads, so that they stand in one line."""
    words.setMinimumHeight(VERB_HEIGHT)
    return words


def _drawn_words(drawn: FarOutline) -> str:
    return (
        f"Drawn by hand with {len(drawn.corners_px)} corners, the hidden stretches too. It is as "
        "good as the drawing: pull its corners onto the edge that is seen."
    )


class _RimBlock(QWidget):
    """One rim: its name, how many points were kept, the strip, and the strip in words."""

    def __init__(self) -> None:
        super().__init__()
        self.name = ""
        self._names = RimNames()
        self._head = label("", bold=True)
        self._count = label("", "caption")
        self._words = label("", wrap=True)
        self._left_out = label("", "caption", wrap=True)
        self.strip = FitStrip()
        self.strip.setFont(font("caption"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(row(self._head, 1, self._count))
        for widget in (self.strip, self._words, self._left_out):
            column.addWidget(widget)

    def call(self, names: RimNames, name: str) -> None:
        """Bear this name; ``names`` are those of both."""
        self._names, self.name = names, name
        self._head.setText(capital(name))

    def show_rim(self, rim: Rim | None, fit: RimFit | None, rest: str) -> None:
        """Show a rim's fit, or hide the block where there is no rim."""
        self.setVisible(rim is not None)
        if rim is None:
            return
        self.strip.setVisible(fit is not None)
        self.strip.show_fit(fit, f"{self.name}'s rim")
        if fit is None:
            self._count.setText(f"{len(rim.points_px)} points")
            self._words.setText("These points make no outline yet: place more along the edge.")
            self._left_out.hide()
            return
        self._count.setText(fit.count_words)
        words = self._names.put_in(fit.words)
        self._words.setText(f"{words} {rest}" if rest and fit.unseen else words)
        left_out = fit.left_out_words
        self._left_out.setText(f"× {left_out}" if left_out else "")  # noqa: RUF001 - the strip's cross
        self._left_out.setVisible(bool(left_out))

    def say(self, words: str) -> None:
        """Say something in the place of a fit."""
        self.show()
        self.strip.hide()
        self._left_out.hide()
        self._count.setText("")
        self._words.setText(words)


class _Covered(QLabel):
    """A dashed box: what is not there to be seen yet."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.edge = "#7A7A74"
        self.setFont(font())
        self.setWordWrap(True)
        self.setContentsMargins(16, 12, 16, 12)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the words and the dashed outline."""
        super().paintEvent(event)
        painter = QPainter(self)
        pen = QPen(QColor(self.edge), 2)
        pen.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(pen)
        painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()
