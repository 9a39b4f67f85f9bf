"""Every screen in every state worth a picture: how to get there, in the order of a day's work."""

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import Qt

from annotate.marks import Point
from capture.demo.job import read_demo_plan
from capture.demo.samples import known_hole
from capture.desk.where import Where
from store.round import Check
from tests.screens.stage import Stage

_HALF_DONE = 2  # readings in the pictures of a grid in part
_DIFFERENCES = {gauge.id for gauge in read_demo_plan().gauges if gauge.difference}


class Shot(NamedTuple):
    """``name`` of the picture, whether it needs the book, and how to get there."""

    name: str
    with_book: bool
    walk: Callable[[Stage], None]


def _go(where: Where) -> Callable[[Stage], None]:
    return lambda stage: stage.desk.go(where)


def _at(wanted: Callable[[Check], bool]) -> Callable[[Stage], None]:
    def walk(stage: Stage) -> None:
        assert stage.desk.round is not None
        stage.desk.go_to_check(next(c for c in stage.desk.round.checks if wanted(c)).key)

    return walk


def _coverage(state: str) -> Callable[[Check], bool]:
    return lambda c: c.characteristic.kind == "coverage" and c.state == state


def _open_grid(c: Check) -> bool:
    """Whether a grid takes sizes as typed, and enough of them to be left half done.

    A difference wants its zero said first: nothing would be filed.
    """
    waits = c.characteristic.is_grid and c.state == "not measured" and not c.hidden
    wide = len(c.characteristic.spots) > _HALF_DONE
    return waits and wide and c.characteristic.gauge not in _DIFFERENCES


def _part_of_a_grid(stage: Stage) -> None:
    _at(_open_grid)(stage)
    for text in ("0.04 mm", "0.04 mm"):
        stage.type(text)
        stage.press(Qt.Key.Key_Return)
    check = stage.desk.check
    assert check is not None
    assert len(check.cells) == _HALF_DONE, "the readings were not filed"


def _slip(stage: Stage) -> None:
    _part_of_a_grid(stage)
    stage.type("0.40 mm")  # ten times the others
    stage.press(Qt.Key.Key_Return)


def _refused_text(stage: Stage) -> None:
    _at(_open_grid)(stage)
    stage.type("1,234")
    stage.press(Qt.Key.Key_Return)


def _rims(stage: Stage, *, found: bool) -> None:
    assert stage.desk.round is not None
    check = next(c for c in stage.desk.round.checks if c.characteristic.kind == "coverage")
    photo = next(p.taken for p in stage.desk.round.place(check.location.id).photos
                 if p.taken.role == "close-up")  # fmt: skip
    stage.desk.go(Where("marking", check.key, photo=photo.photo))
    stage.settle()
    if found:
        known = known_hole(photo.file_name)
        stage.screen.canvas.pointed.emit(Point(*known.click))  # type: ignore[attr-defined] # of marking


def _compare(stage: Stage) -> None:
    assert stage.desk.round is not None
    place = next(p for p in stage.desk.round.places if len(p.photos) > 1)
    one, other = (p.taken.photo for p in place.photos[:2])
    stage.desk.go(Where("compare", place.checks[0].key if place.checks else place.location.id,
                        photo=one, other=other))  # fmt: skip


def _hold(state: str) -> Callable[[Stage], None]:
    def walk(stage: Stage) -> None:
        assert stage.desk.round is not None
        for hold in stage.desk.round.holds:
            found = "closed" if hold.closed else "refused" if hold.unproven else "free"
            if found == state:
                stage.desk.go(Where("hold", hold.hold_point.id))
                return
        raise RuntimeError(f"no hold point is {state}")

    return walk


def _report(stage: Stage) -> None:
    stage.desk.go(Where("report"))
    stage.screen.make_report()  # type: ignore[attr-defined] # of the report
    stage.wait(lambda: stage.screen.pages.count)  # type: ignore[attr-defined] # the same


def _refusal(stage: Stage) -> None:
    _at(_open_grid)(stage)
    stage.desk.refused.emit("the disk of this computer is full: make room, then file it again")


def _all_jobs(stage: Stage) -> None:
    """Look through the folder that the stage's own book lies in."""
    stage.desk.go(Where("shop"))
    stage.settle()
    assert stage.desk.root is not None
    stage.screen.asked.folder.set_text(str(stage.desk.root.parent))  # type: ignore[attr-defined] # of all jobs
    stage.screen.asked.fields["verdict"].set_text("within")  # type: ignore[attr-defined] # the same
    stage.screen.look()  # type: ignore[attr-defined] # the same


def _drawn(stage: Stage) -> None:
    """Draw four corners round the middle of the picture: how it looks, not where a hole is."""
    _rims(stage, found=False)
    canvas = stage.screen.canvas  # type: ignore[attr-defined] # of marking
    layer = canvas.layer()
    x, y = layer.width_px / 2, layer.height_px / 2
    canvas.start_tool("far outline")
    for right, down in ((-90, -60), (90, -60), (90, 60), (-90, 60)):
        canvas.place((x + right, y + down), 0)
    canvas.finish_tool()


SHOTS = (
    Shot("01-first", with_book=False, walk=lambda _: None),
    Shot("02-new-job", with_book=False, walk=_go(Where("new job"))),
    Shot("03-not-measured", with_book=True, walk=_at(_open_grid)),
    Shot("04-part-of-a-grid", with_book=True, walk=_part_of_a_grid),
    Shot("05-slip-asked", with_book=True, walk=_slip),
    Shot("06-typed-wrong", with_book=True, walk=_refused_text),
    Shot("07-coverage-within", with_book=True, walk=_at(_coverage("within"))),
    Shot("08-coverage-too-close", with_book=True, walk=_at(_coverage("too close to call"))),
    Shot("09-depth-within", with_book=True,
         walk=_at(lambda c: c.characteristic.kind == "depth" and c.state == "within")),
    Shot("10-yes-no", with_book=True, walk=_at(lambda c: c.characteristic.kind == "yes-no")),
    Shot("11-computed", with_book=True,
         walk=_at(lambda c: c.characteristic.kind == "computed" and c.value is not None)),
    Shot("12-agreement", with_book=True, walk=_at(lambda c: c.characteristic.kind == "agreement")),
    Shot("13-recorded", with_book=True, walk=_at(lambda c: c.state == "no limit")),
    Shot("14-before-rims", with_book=True, walk=lambda stage: _rims(stage, found=False)),
    Shot("15-placing-rims", with_book=True, walk=lambda stage: _rims(stage, found=True)),
    Shot("16-compare", with_book=True, walk=_compare),
    Shot("17-block-map", with_book=True, walk=_go(Where("map"))),
    Shot("18-hold-refused", with_book=True, walk=_hold("refused")),
    Shot("19-hold-free", with_book=True, walk=_hold("free")),
    Shot("20-hold-closed", with_book=True, walk=_hold("closed")),
    Shot("21-camera", with_book=True,
         walk=lambda stage: stage.desk.go(Where("camera", stage.desk.where.location))),
    *(
        Shot(f"{22 + n}-job-{name.split()[0].lower()}", with_book=True,
             walk=_go(Where("job", part=name)))
        for n, name in enumerate((
            "Details", "Plan", "Gauges", "Kit and parts", "Plugs and galleries", "Papers",
            "Settings",
        ))
    ),
    Shot("29-report", with_book=True, walk=_go(Where("report"))),
    Shot("30-refusal", with_book=True, walk=_refusal),
    Shot("31-report-made", with_book=True, walk=_report),
    Shot("32-job-evidence", with_book=True, walk=_go(Where("job", part="Evidence"))),
    Shot("33-all-jobs", with_book=True, walk=_all_jobs),
    Shot("34-drawn-opening", with_book=True, walk=_drawn),
)  # fmt: skip
