"""A map screen on a real book with a face of the block, in a window of its own."""

from collections.abc import Callable

import pytest

from capture.desk.desk import Desk
from capture.desk.errands import wait_for_all
from capture.desk.map.screen import MapScreen
from capture.desk.where import Where
from capture.intake.photo import read_photo
from store.round import Round
from tests.capture.command import SAMPLES

MAP = Where("map")
FACE, OTHER = "block-left-side.jpg", "front-cover-on.jpg"


@pytest.fixture
def acted(demo, qtbot) -> Callable[..., Round]:
    """Have something done with the journey and wait for it."""

    def act(work) -> Round:
        done: list[object] = []
        refused: list[str] = []
        demo.act(work, then=done.append, refused=lambda told: refused.append(told.sentence))
        qtbot.waitUntil(lambda: bool(done or refused))
        assert not refused
        return demo.round

    return act


@pytest.fixture
def face(acted) -> str:
    """File an overall photo at A1; return its id."""
    photo = read_photo(SAMPLES / FACE)
    known = acted(lambda j: j.add_photo(photo, location="A1", role="overall", up="up is up"))
    return known.place("A1").photos[0].taken.photo


@pytest.fixture
def opened(demo, qtbot) -> Callable[..., MapScreen]:
    """Open the map as the window does: told of every round, entered where one goes."""
    screens = []

    def open_(where: Where = MAP, wide: int = 976, high: int = 752) -> MapScreen:
        screen = MapScreen(demo)
        qtbot.addWidget(screen)
        screens.append(screen)
        demo.round_changed.connect(screen.show_round)
        screen.resize(wide, high)
        screen.show()
        qtbot.waitExposed(screen)
        qtbot.waitUntil(screen.isActiveWindow)  # shortcuts are those of the active window
        demo.go(where)
        screen.enter(where)
        qtbot.waitUntil(lambda: screen.face is None or screen.canvas.picture_area().width() > 1000)
        return screen

    yield open_
    for screen in screens:
        demo.round_changed.disconnect(screen.show_round)
        screen.leave()
    wait_for_all()


def placed(desk: Desk, location: str) -> tuple[float, float] | None:
    """Return where a location is on the map by the book."""
    told = desk.round.place(location).on_map
    return (told.record.x_px, told.record.y_px) if told else None
