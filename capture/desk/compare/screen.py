"""Two photos side by side that are enlarged and moved together."""

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout

from capture.desk.compare.link import Link
from capture.desk.compare.pairs import Chosen, chosen, counterpart
from capture.desk.compare.side import Side
from capture.desk.desk import Desk
from capture.desk.look.controls import label, row
from capture.desk.look.palette import Palette
from capture.desk.marking.key_line import KeyVerb
from capture.desk.screen import Screen
from capture.desk.where import Where
from store.round import Round

LINKED = "Both move together"
UNLINKED = "Each moves alone: lay the same place in the middle of both, then link"
_MARGIN, _WIDE_MARGIN, _WIDE_FROM = 24, 32, 1300


class CompareScreen(Screen):
    """Left is what was there before, right what one came from."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.left, self.right = Side(desk, "left"), Side(desk, "right")
        self.link: Link | None = None
        self._is_linked = True
        self._with_rims = True
        self._told = label(LINKED, "caption")
        self._link_verb = KeyVerb("unlink", "L", does=self._turn_link)
        self._rims_verb = KeyVerb("hide rims", "V", does=self._turn_rims)
        self._lay_out()
        for side in (self.left, self.right):
            side.chose.connect(lambda one, side=side: self._choose(side, one))
            side.moved.connect(lambda side=side: self._follow(side))
            side.shown.came.connect(lambda _: self._relink())
        self.wear(desk.palette)

    def _lay_out(self) -> None:
        sides = QHBoxLayout()
        sides.setSpacing(24)
        sides.addWidget(self.left, 1)
        sides.addWidget(self.right, 1)
        keys = row(
            self._told, 1, self._link_verb, self._rims_verb,
            KeyVerb("swap", "S", does=self._swap), KeyVerb("whole", key="0", does=self._whole),
            KeyVerb("leave it", "Esc", does=self._leave_it), gap=0,
        )  # fmt: skip
        self._lines = QVBoxLayout(self)
        self._lines.setSpacing(4)
        self._lines.addWidget(label("Two photos side by side", "head", bold=True))
        self._lines.addLayout(sides, 1)
        self._lines.addLayout(keys)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the margins of the window's size, and the two views together."""
        super().resizeEvent(event)
        margin = _WIDE_MARGIN if self.width() >= _WIDE_FROM else _MARGIN
        self._lines.setContentsMargins(margin, 8, margin, 8)

    # --- coming and going -----------------------------------------------------------------

    def enter(self, where: Where) -> None:
        """Show the photo one came from on the right, and the other one on the left."""
        known = self.desk.round
        right = chosen(known, where.location, where.photo)
        left = chosen(known, where.location, where.other)
        if left is None and right is not None:
            left = counterpart(known, right)
        self.link = None
        self.left.show_photo(left, known)
        self.right.show_photo(right, known)
        self._relink()
        self.right.canvas.setFocus()

    def show_round(self, known: Round | None) -> None:
        """Something was filed: new photos can be chosen, new outlines are shown."""
        for side in (self.left, self.right):
            if side.chosen is not None:
                place, photo = side.chosen
                side.show_photo(chosen(known, place.location.id, photo.taken.photo), known)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        for side in (self.left, self.right):
            side.wear(palette)
        self.update()

    # --- the two together -----------------------------------------------------------------

    @property
    def is_linked(self) -> bool:
        """Whether both are moved together."""
        return self._is_linked

    def _relink(self) -> None:
        """Let the two belong together as they lie now."""
        both = self.left.is_whole and self.right.is_whole
        self.link = Link(self.left.view, self.right.view) if both and self._is_linked else None

    def _follow(self, lead: Side) -> None:
        if self.link is None:
            return
        if lead is self.left:
            self.right.look(self.link.right_of(lead.view))
        else:
            self.left.look(self.link.left_of(lead.view))

    def _turn_link(self) -> None:
        self._is_linked = not self._is_linked
        self._relink()
        self._told.setText(LINKED if self._is_linked else UNLINKED)
        self._link_verb.set_words("unlink" if self._is_linked else "link")

    def _turn_rims(self) -> None:
        self._with_rims = not self._with_rims
        self._rims_verb.set_words("hide rims" if self._with_rims else "show rims")
        for side in (self.left, self.right):
            side.show_rims(shown=self._with_rims)

    def _swap(self) -> None:
        known = self.desk.round
        left, right = self.left.chosen, self.right.chosen
        self.link = None
        self.left.show_photo(right, known)
        self.right.show_photo(left, known)
        self._relink()

    def _whole(self) -> None:
        """Show all of both, linked or not."""
        self.link = None
        for side in (self.left, self.right):
            side.canvas.fit_whole()
        self._relink()

    def _choose(self, side: Side, one: Chosen) -> None:
        self.link = None
        side.show_photo(one, self.desk.round)
        self._relink()

    def _leave_it(self) -> None:
        if self.desk.where.room == "compare":
            self.desk.go_to_check(self.desk.where.key)
