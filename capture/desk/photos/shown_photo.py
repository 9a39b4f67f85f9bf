"""One photo on the canvas: first coarse, then whole and with its accepted outlines."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget

from annotate.marks import Layer, Point
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import PictureLevels
from annotate.pane.shown import Shown
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.photos.empty import Empty
from capture.desk.shelf import shelf_of
from store.evidence import Marked, PhotoTaken

_RIMS_SHARE = 0.5  # of the view: the hole, and enough round it to know which one it is


class ShownPhoto(QStackedWidget):
    """Shows a photo, or words where there is none. ``came`` carries the levels of a whole one.

    With ``closes_in`` a photo with accepted outlines is shown near enough to judge them by eye.
    """

    came = Signal(object)

    def __init__(self, desk: Desk, *, closes_in: bool = False) -> None:
        super().__init__()
        self._closes_in = closes_in
        self._shelf = shelf_of(desk)
        self._taken: PhotoTaken | None = None
        self._marked: Marked | None = None
        self._whole: PictureLevels | None = None
        self._coarse: PictureLevels | None = None
        self.empty = Empty(desk.palette)
        desk.dressed.connect(self.empty.wear)
        self.canvas = PhotoCanvas()
        self.canvas.setAcceptDrops(False)
        self.canvas.viewport().setAcceptDrops(False)  # what is dropped is for the pane
        self.addWidget(self.empty)
        self.addWidget(self.canvas)

    @property
    def levels(self) -> PictureLevels | None:
        """The whole picture, once it is there."""
        return self._whole

    def say(self, words: str) -> None:
        """Show words instead of a photo."""
        self._taken = self._whole = self._coarse = None
        self.canvas.set_picture(None)
        self.empty.say(words)
        self.setCurrentWidget(self.empty)

    def show_photo(self, taken: PhotoTaken, marked: Marked | None) -> None:
        """Show a photo with the marks that were accepted on it; the same one stays as it lies."""
        same = self._taken is not None and self._taken.photo == taken.photo
        before, self._marked = self._marked, marked
        if same and self._whole is not None:
            if marked != before:
                self._draw_marks()
                self._close_in()
            return
        if same and self._taken is not None:
            return  # it is on its way
        if not taken.can_be_shown:
            self.say(f"{taken.file_name} is kept, and can't be shown")
            return
        self.say("")
        self._taken = taken
        self.setCurrentWidget(self.canvas)
        self._shelf.coarse(taken, lambda levels: self._show_coarse(taken.photo, levels))
        self._shelf.levels(
            taken,
            lambda levels: self._show_whole(taken.photo, levels),
            lambda refused: self._failed(taken.photo, refused),
        )

    def _is_shown(self, photo: str) -> bool:
        return self._taken is not None and self._taken.photo == photo

    def _show_coarse(self, photo: str, levels: PictureLevels) -> None:
        if self._is_shown(photo) and self._whole is None:
            self._coarse = levels
            self.canvas.set_picture(levels)

    def _show_whole(self, photo: str, levels: PictureLevels) -> None:
        if not self._is_shown(photo) or self._whole is not None:
            return
        coarse, view = self._coarse, (self.canvas.zoom(), self.canvas.centre())
        self.canvas.fit_whole()
        was_whole = coarse is None or self.canvas.zoom() == view[0]
        self._whole = levels
        self.canvas.set_picture(levels)
        if coarse is not None:
            # Who enlarged the coarse picture meanwhile goes on looking at the same place.
            larger = levels.width_px / coarse.width_px
            zoom, centre = view
            self.canvas.set_view(zoom / larger, Point(centre.x_px * larger, centre.y_px * larger))
        self._draw_marks()
        if was_whole:
            self._close_in()
        self.came.emit(levels)

    def _failed(self, photo: str, refused: Refused) -> None:
        if self._is_shown(photo):
            self.say(refused.sentence)

    def _close_in(self) -> None:
        if self._closes_in and self._marked is not None:
            self.canvas.zoom_to_rims(_RIMS_SHARE)

    def _draw_marks(self) -> None:
        levels, marked = self._whole, self._marked
        if levels is None:
            return
        if marked is None:
            self.canvas.set_layer(Layer(width_px=levels.width_px, height_px=levels.height_px))
            self.canvas.set_shown(None)
        else:
            self.canvas.set_layer(marked.layer)
            self.canvas.set_shown(Shown(near=marked.result.near, far=marked.result.far))
