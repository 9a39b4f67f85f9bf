"""Measuring freely: tools in hand, scales and notes that wait for words, sizes worked out."""

from PySide6.QtCore import QObject

from annotate.errors import AnnotateError
from annotate.marks import Layer
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.tools import Tool
from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.marking.filed_size import (
    Target,
    doubts_of,
    kept_words,
    reading_text,
    slip_words,
)
from capture.desk.marking.free_sizes import FreeSizes, Sized, free_sizes
from capture.desk.marking.known_sizes import length_of
from capture.desk.marking.measure_page import MeasurePage
from capture.desk.marking.placing import Placing
from capture.errors import CaptureError, SlipSuspected, Unfit


class Measuring(QObject):
    """Between the canvas and its page. Sizes stand on the photo only while one measures."""

    def __init__(
        self, desk: Desk, canvas: PhotoCanvas, placing: Placing, page: MeasurePage
    ) -> None:
        super().__init__(canvas)
        self._desk, self._canvas, self._placing, self._page = desk, canvas, placing, page
        self._errand: errands.Errand | None = None
        self.is_on = False
        self._waits = ""
        page.chosen.connect(self._take)
        page.answered.connect(self._answered)
        page.filing.wanted.connect(self._file)
        canvas.length_wanted.connect(lambda _: self._ask("length"))
        canvas.words_wanted.connect(lambda _: self._ask("words"))
        canvas.tool_changed.connect(self._tool_changed)
        canvas.layer_changed.connect(lambda _: self.work_out())

    def begin(self) -> None:
        """Show the sizes, and keep them right from now on."""
        self.is_on = True
        self.work_out()

    def end(self) -> None:
        """Take the sizes off the photo: no number stands there while rims are placed."""
        self.is_on = False
        if self._page.is_asking:
            self._answered(None)
        if self._errand is not None:
            self._errand.drop()
        for index in range(len(self._canvas.layer().marks)):
            self._canvas.set_label_of(index, "")

    def work_out(self) -> None:
        """Have every size worked out anew; an answer that is overtaken is thrown away."""
        if self._errand is not None:
            self._errand.drop()
        known, layer = self._desk.round, self._layer()
        if not self.is_on or known is None:
            return
        lens = self._placing.lens_profile
        self._errand = errands.run(lambda: free_sizes(layer, known.job, lens), self._show)

    def _layer(self) -> Layer:
        try:
            return self._placing.layer_with_target(self._placing.sizes().target)
        except Unfit:
            return self._canvas.layer()

    def _show(self, found: FreeSizes) -> None:
        self._errand = None
        if not self.is_on:
            return
        sitting = self._placing.sitting
        self._page.show_sizes(found, sitting.place if sitting is not None else None)
        for size in found.sizes:
            self._canvas.set_label_of(size.mark_index, size.label)

    def _file(self, sized: Sized, target: Target) -> None:
        """File a figure as a reading of a check, with its photo and what makes it uncertain."""
        sitting, size = self._placing.sitting, sized.size
        if sitting is None or size is None:
            return
        text, doubts = reading_text(size, target), doubts_of(size)
        photos = (sitting.taken.photo,)
        self._desk.act(
            lambda journey: journey.reading(
                target.key, text, gauge=None, doubts=doubts, photos=photos
            ),
            then=lambda check: self._desk.told.emit(kept_words(text, check)),
            refused=lambda told: self._not_filed(text, target, told),
            words="filing the reading",
        )

    def _not_filed(self, text: str, target: Target, told: Refused) -> None:
        """Go where it is asked about if it looks like a slip; else say why it was refused."""
        if isinstance(told.error, SlipSuspected):
            self._desk.go_to_check(target.key)
            self._desk.refused.emit(slip_words(text, target))
        else:
            self._desk.refused.emit(told.sentence)

    def _take(self, tool: Tool) -> None:
        self._canvas.start_tool(tool)
        self._canvas.setFocus()

    def _tool_changed(self, tool: str) -> None:
        if not tool and self._page.is_asking:
            self._page.ask("")  # it was dropped

    def _ask(self, what: str) -> None:
        self._waits = what
        self._page.ask(what)

    def _answered(self, text: str | None) -> None:
        try:
            if text is not None and self._waits == "length":
                assert self._desk.round is not None  # noqa: S101 - while one measures
                self._canvas.give_length(length_of(text, self._desk.round.job))
            elif text is not None:
                self._canvas.give_words(text)
            else:
                self._canvas.start_tool("")
        except (CaptureError, AnnotateError) as refused:
            self._page.refuse(str(refused))
            return
        self._page.ask("")
        self._canvas.setFocus()
