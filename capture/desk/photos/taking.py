"""Photos handed over: chosen as files, dropped, or pasted."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QMimeData, QObject
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from capture.desk import errands
from capture.desk.desk import Desk
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.handed import files_in, image_in, named, saved_as_png
from capture.desk.photos.watched import watched_of

FILTER = "Photos (*.jpg *.jpeg *.png *.heic *.heif *.JPG *.JPEG *.PNG *.HEIC);;All files (*)"
Chooser = Callable[[QWidget], list[Path]]
FolderChooser = Callable[[QWidget], Path | None]


def choose_files(parent: QWidget) -> list[Path]:
    """Ask for files in a dialog; an empty list where none was chosen."""
    names, _ = QFileDialog.getOpenFileNames(
        parent, "Add photos", "", FILTER, options=QFileDialog.Option.DontUseNativeDialog
    )
    return [Path(name) for name in names]


def choose_folder(parent: QWidget) -> Path | None:
    """Ask for a folder in a dialog; None where none was chosen."""
    name = QFileDialog.getExistingDirectory(
        parent, "Watch a folder", "", options=QFileDialog.Option.DontUseNativeDialog
    )
    return Path(name) if name else None


class Taking(QObject):
    """Hands over to Arrivals what a person hands to a widget."""

    def __init__(
        self,
        desk: Desk,
        widget: QWidget,
        choose: Chooser = choose_files,
        choose_folder: FolderChooser = choose_folder,
    ) -> None:
        super().__init__(widget)
        self._desk, self._widget = desk, widget
        self._choose, self._choose_folder = choose, choose_folder
        self._arrivals = arrivals_of(desk)

    def choose(self) -> None:
        """Choose files, and take them in."""
        self._take(self._choose(self._widget))

    def paste(self) -> bool:
        """Take in what is in the clipboard; False if that is neither a photo nor a file."""
        if self.take_mime(QGuiApplication.clipboard().mimeData()):
            return True
        self._desk.refused.emit("there is no picture in the clipboard: copy one first")
        return False

    def watch(self) -> None:
        """Choose the folder to watch, or watch none any more."""
        watched = watched_of(self._desk)
        if watched.folder is not None:
            self._desk.told.emit(f"{watched.folder} is watched no more")
            watched.stop()
        elif (folder := self._choose_folder(self._widget)) is not None:
            watched.watch(folder)
            self._desk.told.emit(watched.words)

    def take_mime(self, mime: QMimeData) -> bool:
        """Take in what was dropped or pasted; False if there is no photo in it."""
        if paths := files_in(mime):
            self._take(paths)
            return True
        image = image_in(mime)
        if image is None:
            return False
        name, here = named("pasted", self._desk.edge.clock()), self._arrivals.here()
        errands.run(
            lambda: saved_as_png(image, name, self._desk.scratch),
            lambda path: self._arrivals.take_paths([path], here=here, passing=True),
            lambda refused: self._desk.refused.emit(refused.sentence),
        )
        return True

    def _take(self, paths: list[Path]) -> None:
        if paths:
            self._arrivals.take_paths(paths)
