"""The longest time for which the window does not answer while work is done at it."""

from pathlib import Path
from typing import TypeVar

from PySide6.QtWidgets import QWidget

from annotate.marks import Point
from capture.demo.job import read_demo_plan
from capture.demo.samples import known_hole, sample_path
from capture.desk.aside import Aside
from capture.desk.desk import Desk
from capture.desk.marking.screen import MarkingScreen
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.report.screen import ReportScreen
from capture.desk.where import Where
from capture.desk.window import Window
from capture.edge import edge_of_machine
from tests.bench.desk_beat import Beat, print_head
from tests.bench.desk_waiting import settle, wait

_Kind = TypeVar("_Kind", bound=QWidget)
_READINGS = 12
_PICTURE = "bearing-1.jpg"


def print_stalls(folder: Path, *, where: bool = False) -> None:
    """Work at the demo's plan in a real window and print its longest gaps, one kind of work each.

    ``folder`` holds big.jpg, a photo of 48 MP.
    """
    desk, aside = Desk(edge_of_machine("Bench")), Aside()
    desk.measure = aside.measure  # as the program has it
    aside.warm()
    window = Window(desk)
    window.resize(1280, 800)
    window.show()
    desk.begin(read_demo_plan(), folder / "stall-book")
    wait(lambda: desk.round is not None and desk.where.room == "location")
    settle(1)
    print_head()
    work = _Work(desk, window, folder)
    for words, does in (
        ("nothing is asked of it", lambda: settle(3)),
        (f"{_READINGS} readings filed and shown", work.read),
        ("a photo of 2 MP filed and shown", work.small_photo),
        ("a photo of 48 MP filed and shown", work.large_photo),
        ("every room looked at once", work.look_round),
        ("rims found from one press", work.find_rims),
        ("the coverage measured and filed", work.accept),
        ("the report made", work.report),
        ("the pack made", work.pack),
    ):
        with Beat(words, where=where) as beat:
            does()
        beat.tell()
    window.close()
    aside.close()


class _Work:
    """What is done at the desk, each until it is seen to be done."""

    def __init__(self, desk: Desk, window: Window, folder: Path) -> None:
        self._desk, self._window, self._folder = desk, window, folder
        assert desk.round is not None
        self._key = next(c.key for c in desk.round.checks if c.characteristic.kind == "coverage")
        self._photo = ""

    def read(self) -> None:
        """File readings, and go to each check."""
        desk = self._desk
        assert desk.round is not None
        asked = [
            check for check in desk.round.checks
            if check.characteristic.kind == "length" and not check.characteristic.is_grid
        ][:_READINGS]  # fmt: skip
        filed: list[object] = []
        for number, check in enumerate(asked):
            desk.go_to_check(check.key)
            text = f"20.01 {check.characteristic.unit}"
            desk.act(
                lambda j, key=check.key, text=text: j.reading(key, text, stands="bench"),
                then=filed.append, refused=filed.append,
            )  # fmt: skip
            wait(lambda number=number: len(filed) > number)
        settle(0.3)

    def small_photo(self) -> None:
        """File a sample picture at an oil hole."""
        with sample_path(_PICTURE) as path:
            self._photo = self._take(path)

    def large_photo(self) -> None:
        """File the photo of 48 MP there too."""
        self._take(self._folder / "big.jpg")

    def _take(self, path: Path) -> str:
        desk = self._desk
        desk.go_to_check(self._key)
        kept: list[str] = []
        arrivals = arrivals_of(desk)
        keep = arrivals.kept.connect(lambda one: kept.append(one.photo))
        arrivals.take_paths([path])
        wait(lambda: kept)
        arrivals.kept.disconnect(keep)
        settle(1.5)
        return kept[0]

    def look_round(self) -> None:
        """Go to each room for the first time: screens are made when they are gone to."""
        desk = self._desk
        assert desk.round is not None
        hold = desk.round.holds[0].hold_point.id
        for place in (Where("map"), Where("hold", hold), Where("job"), Where("report")):
            desk.go(place)
            settle(0.3)
        desk.go_to_check(self._key)
        settle(0.3)

    def find_rims(self) -> None:
        """Press inside the hole and wait for both rims."""
        self._desk.go(Where("marking", self._key, photo=self._photo))
        marking = _as(MarkingScreen, self._window.screen_shown)
        wait(lambda: marking.placing.about.is_whole)
        marking.canvas.pointed.emit(Point(*known_hole(_PICTURE).click))
        wait(lambda: marking.placing.state == "placing")

    def accept(self) -> None:
        """Accept the rims."""
        marking = _as(MarkingScreen, self._window.screen_shown)
        marking.column.accept_verb.click()
        wait(lambda: self._desk.where.room == "location")
        settle(0.3)

    def report(self) -> None:
        """Make the report."""
        self._desk.go(Where("report"))
        screen = _as(ReportScreen, self._window.screen_shown)
        screen.make_report()
        wait(lambda: screen.pages.count > 0)
        settle(0.5)

    def pack(self) -> None:
        """Make the pack."""
        screen = _as(ReportScreen, self._window.screen_shown)
        target = self._folder / "pack.zip"
        screen.ask_where = lambda *_: target
        screen.make("pack")
        wait(lambda: screen._making is None)
        assert target.exists()


def _as(kind: type[_Kind], shown: QWidget) -> _Kind:
    assert isinstance(shown, kind)
    return shown
