"""One of the two: which location, the photo with its caption, and the strip to choose from."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from annotate.pane.canvas import PhotoCanvas
from capture.desk.compare.link import View
from capture.desk.compare.pairs import Chosen, caption_words, locations_with_photos, marks_on
from capture.desk.desk import Desk
from capture.desk.look.field import PickField
from capture.desk.look.palette import Palette
from capture.desk.photos.caption import Caption
from capture.desk.photos.choice import photo_of, photo_to_show
from capture.desk.photos.shown_photo import ShownPhoto
from capture.desk.photos.strip import PhotoStrip
from store.round import Round


class Side(QWidget):
    """``chose`` carries the Chosen photo; ``moved`` is told after the person moved the view."""

    chose = Signal(object)
    moved = Signal()

    def __init__(self, desk: Desk, name: str) -> None:
        super().__init__()
        self._desk = desk
        self.chosen: Chosen | None = None
        self._with_rims = True
        self._pick = PickField(f"{name}: location")
        self.caption, self.shown, self.strip = Caption(), ShownPhoto(desk), PhotoStrip(desk)
        self.canvas.setAccessibleName(f"{name} photo")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._pick)
        column.addSpacing(8)
        column.addWidget(self.caption)
        column.addWidget(self.shown, 1)
        column.addWidget(self.strip)
        self._pick.edited.connect(self._picked)
        self.strip.chosen.connect(self._pressed)
        self.canvas.view_changed.connect(lambda _: self.moved.emit())

    @property
    def canvas(self) -> PhotoCanvas:
        """The canvas that the photo is on."""
        return self.shown.canvas

    @property
    def view(self) -> View:
        """What of the photo is shown."""
        return View(self.canvas.centre(), self.canvas.zoom())

    @property
    def is_whole(self) -> bool:
        """Whether the photo is there."""
        return self.shown.levels is not None

    def look(self, view: View) -> None:
        """Show a part of the photo; nobody is told."""
        self.canvas.set_view(view.zoom, view.centre)

    def show_photo(self, one: Chosen | None, known: Round | None) -> None:
        """Show a photo, its location's other ones below; None where there is none."""
        self.chosen = one
        if one is None:
            self.caption.say(("no photo",))
            self.shown.say("Choose a photo below")
            return
        location = one.place.location.id
        self._pick.offer(locations_with_photos(known, location))
        self._pick.set_text(location)
        self.canvas.name_rims(one.place.location.near, one.place.location.far)
        self.caption.say(*caption_words(one))
        self._draw()
        self.strip.show_place(one.place, None, None)
        self.strip.mark_shown(one.photo.taken.photo)

    def show_rims(self, *, shown: bool) -> None:
        """Show the accepted outlines, or the bare photo."""
        self._with_rims = shown
        self._draw()

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.strip.wear(palette)
        self.canvas.wear_mat(palette.mat)

    def _draw(self) -> None:
        if self.chosen is not None:
            taken = self.chosen.photo.taken
            marked = marks_on(self.chosen.place, taken.photo) if self._with_rims else None
            self.shown.show_photo(taken, marked)

    def _picked(self) -> None:
        known = self._desk.round
        places = {place.location.id: place for place in known.places} if known else {}
        place = places.get(self._pick.text())
        photo = photo_of(place, photo_to_show(place, None)) if place else None
        if place is not None and photo is not None:
            self.chose.emit(Chosen(place, photo))

    def _pressed(self, photo_id: str) -> None:
        place = self.chosen.place if self.chosen else None
        photo = photo_of(place, photo_id) if place and photo_id else None
        if place is not None and photo is not None:
            self.chose.emit(Chosen(place, photo))
