"""The window: first paint, a 48 MP photo, panning and dragging, and the longest stall.

Peers, in the same run: an empty Qt window; OpenCV's decode of the same file, whole and reduced;
one blit of a picture as large as the canvas; for stalls the same window while nobody asks anything
of it. The target for a stall is 100 ms.
"""

import compileall
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import cv2
from PIL import Image
from PySide6.QtWidgets import QApplication

from capture.desk.desk import Desk
from capture.desk.shelf import Shelf
from capture.edge import edge_of_machine
from capture.intake.photo import read_photo
from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.codec import Entry
from store.evidence import PhotoTaken
from tests.bench.desk_frames import HIGH, WIDE, print_frames, texture
from tests.bench.desk_stalls import print_stalls
from tests.bench.desk_waiting import end_on_errors, timed, wait
from tests.capture.small_plan import PLAN

_RUNS = 5
_SWITCH_S = 0.001  # as the window sets it

_PEER = """
import sys
from PySide6.QtWidgets import QApplication, QWidget
class W(QWidget):
    def paintEvent(self, event):
        print("painted", flush=True)
        QApplication.exit()
app = QApplication(sys.argv); w = W(); w.resize(1280, 800); w.show(); app.exec()
"""
_OURS = """
import sys
from pathlib import Path
from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication
from capture.desk import app as desk_app, window
from capture.edge import edge_of_machine
book = Path(sys.argv[1]) if len(sys.argv) > 1 else None
class Watch(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint and is_all_shown():
            print("painted", flush=True)
            QApplication.exit()
            QApplication.instance().removeEventFilter(self)
        return False
def is_all_shown():
    tops = [w for w in QApplication.topLevelWidgets() if isinstance(w, window.Window)]
    return bool(tops) and (book is None or tops[0].desk.where.room != "first")
app = QApplication(sys.argv[:1]); watch = Watch(); app.installEventFilter(watch)
desk_app.run(edge_of_machine("Bench"), book)
"""


def print_desk(*, where: bool = False) -> None:
    """Print all four tables; ``where`` also tells what every thread did in each long stall."""
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("CONFIG", "STATE", "CACHE", "DATA"):
            os.environ[f"XDG_{name}_HOME"] = scratch
        folder = Path(scratch)
        _keep_byte_code(folder / "byte code")
        _print_first_paint(folder)
        app = QApplication.instance() or QApplication([])
        sys.setswitchinterval(_SWITCH_S)
        end_on_errors()
        _print_photo(folder)
        print_frames()
        print_stalls(folder, where=where)
        del app


def _keep_byte_code(folder: Path) -> None:
    """Keep byte code, as it is where the program is installed, whatever this shell says."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = str(folder)
    sys.dont_write_bytecode = False
    for package in ("annotate", "store", "capture"):
        compileall.compile_dir(Path(__file__).parents[2] / package, quiet=2)


def _print_first_paint(folder: Path) -> None:
    book = _small_book(folder / "book")
    peer = _least(lambda: _until_painted(_PEER))
    print(f"first paint, from the start of the process, best of {_RUNS}, ratio")
    print(f"  {'an empty Qt window':<34}{peer:6.2f} s   1.0")
    for words, arguments in (("the desk, no book", ()), ("the desk, a book open", (str(book),))):
        ours = _least(lambda arguments=arguments: _until_painted(_OURS, *arguments))
        print(f"  {words:<34}{ours:6.2f} s  {ours / peer:4.1f}")


def _until_painted(code: str, *arguments: str) -> float:
    began = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-c", code, *arguments], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        text=True, cwd=Path(__file__).parents[2],
    ) as child:  # fmt: skip
        assert child.stdout is not None
        while (line := child.stdout.readline()) and "painted" not in line:
            pass
        took = time.perf_counter() - began
        child.kill()
    if not line:
        raise RuntimeError("the window ended before it painted anything")
    return took


def _least(once: Callable[[], float]) -> float:
    return min(once() for _ in range(_RUNS))


def _print_photo(folder: Path) -> None:
    """Print how long it takes from asking for a photo to its first and to all its pixels."""
    file = folder / "big.jpg"
    Image.fromarray(texture()).save(file, quality=88)
    peers = {
        words: _least(lambda flag=flag: timed(lambda: cv2.imread(str(file), flag)))
        for words, flag in (
            ("reduced to 1/8", cv2.IMREAD_REDUCED_COLOR_8),
            ("whole", cv2.IMREAD_COLOR),
        )
    }
    desk = Desk(edge_of_machine("Bench"))
    taken = _filed(desk, folder / "photo-book", file)
    first, whole = zip(*(_shown(desk, taken) for _ in range(_RUNS)), strict=True)
    desk.close()
    size = file.stat().st_size / 1e6
    print(f"\na photo of {WIDE * HIGH / 1e6:.0f} MP, {size:.0f} MB, best of {_RUNS}, ratio")
    for words, ours in (("reduced to 1/8", min(first)), ("whole", min(whole))):
        print(f"  {f'OpenCV, {words}':<34}{peers[words]:6.2f} s   1.0")
        told = "first pixels" if words != "whole" else "whole, checked, with its levels"
        print(f"  {f'the desk, {told}':<34}{ours:6.2f} s  {ours / peers[words]:4.1f}")


def _filed(desk: Desk, root: Path, file: Path) -> PhotoTaken:
    """Begin a book, file the photo in it and return what was kept of it."""
    desk.begin(parse_plan(PLAN.encode(), "plan.toml"), root)
    wait(lambda: desk.round is not None)
    photo = read_photo(file)
    kept: list[Entry] = []
    desk.act(lambda j: j.add_photo(photo, location="C1", role="close-up"), then=kept.append)
    wait(lambda: bool(kept))
    taken = kept[0].evidence
    assert isinstance(taken, PhotoTaken)
    return taken


def _shown(desk: Desk, taken: PhotoTaken) -> tuple[float, float]:
    """Return the seconds until a shelf that holds nothing gives the coarse and the whole photo."""
    shelf, began = Shelf(desk), time.perf_counter()
    came: dict[str, float] = {}

    def note(what: str) -> None:
        came.setdefault(what, time.perf_counter() - began)

    shelf.coarse(taken, lambda _: note("coarse"))
    shelf.levels(taken, lambda _: note("whole"), lambda told: print(told.sentence))
    wait(lambda: "whole" in came)
    wait(lambda: "coarse" in came)
    shelf.setParent(None)
    return min(came.values()), came["whole"]


def _small_book(root: Path) -> Path:
    with Journey.start(
        parse_plan(PLAN.encode(), "plan.toml"), root, bench="bench",
        clock=lambda: "2026-03-02T09:00:00+01:00", user="Bench", version="0",
    ):  # fmt: skip
        return root
