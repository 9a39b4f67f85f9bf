"""Measuring several photos as one: between the list of photos and the marks on the canvas."""

from annotate.pane.canvas import PhotoCanvas
from capture.desk.marking.jointly import Shown, joined, shown_photos
from capture.desk.marking.known_sizes import Sizes
from capture.desk.marking.placing import Placing
from capture.desk.marking.together_page import TogetherPage


class Joining:
    """Shows which photos can take part, and has those that are ticked measured together."""

    def __init__(self, canvas: PhotoCanvas, placing: Placing, page: TogetherPage) -> None:
        self._canvas, self._placing, self._page = canvas, placing, page

    def show(self, note: str) -> None:
        """Show the photos of the location, and a refusal if there is one."""
        self._page.say(note)
        self._page.show_photos(self._photos())

    def measure(self, sizes: Sizes) -> None:
        """Measure the ticked photos: with what is placed now, else from the marks there are."""
        placing, page = self._placing, self._page
        if placing.sitting is None or page.lacking:
            return
        fresh = placing.layer_with_target(sizes.target), placing.lens_used
        accepted = joined(placing.sitting, self._photos(), page.chosen, sizes.givens, fresh)
        placing.file(accepted, placed_now=accepted.layer is fresh[0])

    def _photos(self) -> list[Shown]:
        sitting = self._placing.sitting
        return shown_photos(sitting, self._canvas.layer()) if sitting is not None else []
