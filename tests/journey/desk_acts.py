"""One job from an empty desk to its report, act by act, as a person does them at the window.

Each act can be begun again after the program was ended in the middle of it: it does what a person
would do who finds the window so. ``Hands.kept`` is told what the window said it kept, as
"photo B1 5e2f..." or "reading P1.bore 40.012".
"""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from annotate.marks import Point
from capture.desk.camera.devices import Device
from capture.desk.camera.screen import CameraScreen
from capture.desk.hold.screen import HoldScreen
from capture.desk.job.screen import JobScreen
from capture.desk.location.screen import LocationScreen
from capture.desk.marking.screen import MarkingScreen
from capture.desk.report.screen import ReportScreen
from capture.desk.start.new_job import NewJobScreen
from store.round import Place
from tests.capture.command import SAMPLES
from tests.capture.desk.camera.frames import Frames, rendered
from tests.capture.samples import HOLES
from tests.journey.hands import ALT, CTRL, KEY, Hands

HOLE = HOLES["bearing-1.jpg"]

# Invented; the sizes of B1's holes are the picture's own (sample_images/answers.toml).
PLAN = f"""format = 1
about = "A bearing and a plug under one cover."

[[gauge]]
id = "mic-1"
kind = "micrometer 25-50"
resolution = "0.001 mm"
permissible_error = "0.004 mm"

[[location]]
id = "B1"
name = "Front bearing"
  [[location.check]]
  id = "covered"
  kind = "coverage"
  question = "How much of the oil hole is covered?"
  near_diameter = "{HOLE["near_diameter"]} mm +- 0.02 mm"
  wall = "{HOLE["wall"]} mm +- 0.05 mm"
  bore_diameter = "{HOLE["bore_diameter"]} mm +- 0.05 mm"
  limit = {{ at_most = "45 %", of = "covered", source = "builder's own" }}

[[location]]
id = "P1"
name = "Core plug"
  [[location.check]]
  id = "bore"
  kind = "length"
  question = "Bore?"
  gauge = "mic-1"
  [[location.check]]
  id = "plug"
  kind = "length"
  question = "Plug?"
  gauge = "mic-1"
  [[location.check]]
  id = "press"
  kind = "computed"
  question = "Press fit?"
  formula = "P1.plug - P1.bore"
  limit = {{ ask = "maker's figure and page: press fit of the plug" }}
  [[location.check]]
  id = "clean"
  kind = "yes-no"
  question = "Is the bore clean?"

[[hold_point]]
id = "cover"
name = "Side cover goes on"
hides = ["B1", "P1"]
caution = "Lift it with two hands."
"""
JOB = {
    "engine": "Fennmoor 2", "customer": "Ada Quill", "number": "0731", "shop": "Back Lane Bench",
}  # fmt: skip
LIMIT = {"at_least": "0.03 mm", "at_most": "0.12 mm", "source": "workshop sheet, page 3"}
READINGS = {"P1.bore": "36.512", "P1.plug": "36.587"}
WAIVER = ("R. Ansell", "stain that does not wipe off", "by phone")


class Act(NamedTuple):
    """``goes`` are the keys that it may leave the window at."""

    name: str
    goes: tuple[str, ...]
    does: Callable[[Hands], None]


def begin(hands: Hands) -> None:
    """Type a job, add a plan file and begin."""
    if hands.desk.root is not None:
        return
    hands.key(KEY.Key_N, CTRL)
    screen = hands.screen("new job")
    assert isinstance(screen, NewJobScreen)
    hands.until(lambda: "arrival" in screen.choice.plans.row_keys())
    path = plan_file(screen.parent_folder.parent)
    screen.ask_file = lambda *_: path
    for name, text in JOB.items():
        hands.type_into(screen.job.fields[name].box, text)
    hands.key(KEY.Key_P, CTRL)
    hands.until(lambda: str(path) in screen.choice.plans.row_keys())
    start(hands)


def start(hands: Hands) -> None:
    """Start the job that was typed, and see it in the window's title."""
    hands.key(KEY.Key_Return, CTRL)
    hands.until(lambda: hands.window.windowTitle() == f"Job {JOB['number']} - Benchproof")
    hands.screen("location")
    hands.kept(f"begun {hands.desk.root}")


def give_limit(hands: Hands) -> None:
    """Give the limit that the plan left to be looked up."""
    limit_of(hands, "P1.press", LIMIT)


def limit_of(hands: Hands, key: str, limit: dict[str, str]) -> None:
    """Go to a check in the list of limits that are to be looked up, and type its limit."""
    hands.key(KEY.Key_F8)
    screen = hands.screen("job")
    assert isinstance(screen, JobScreen)
    hands.key(KEY.Key_2)
    hands.until(lambda: screen.page.name == "Plan")
    page = screen.page
    hands.key(KEY.Key_Home)
    while page.rows.key != key:
        before = page.rows.key
        hands.key(KEY.Key_Down)
        assert page.rows.key != before, f"{key} is not in the list"
    hands.key(KEY.Key_L)
    form = page.form_open
    assert form is not None
    for name, text in (limit | {"reason": "looked up"}).items():
        hands.type_into(form.fields[name].box, text)
    hands.key(KEY.Key_Return, CTRL)
    hands.until(lambda: page.form_open is None)
    hands.hears("entry", key)
    hands.kept(f"limit {key} {limit['source']}")


def drop_photo(hands: Hands) -> None:
    """Drop a close-up on the bearing."""
    screen = at(hands, "B1.covered", "Front bearing")
    hands.drop(screen.photo_pane, SAMPLES / "bearing-1.jpg")
    photo_kept(hands, "B1", "bearing-1.jpg")


def paste_photo(hands: Hands) -> None:
    """Paste a picture at the plug."""
    at(hands, "P1.bore", "Core plug")
    hands.paste(SAMPLES / "boss-without-bore.jpg")
    photo_kept(hands, "P1", "pasted-")


def take_photo(hands: Hands) -> None:
    """Go to the camera, put its cable in, freeze and keep a frame."""
    at(hands, "P1.bore", "Core plug")
    hands.key(KEY.Key_T, CTRL)
    screen = hands.screen("camera")
    assert isinstance(screen, CameraScreen)
    frames = Frames(rendered())
    device = Device(0, "Bench camera")
    screen._opens, screen.devices._lists = lambda _: frames, lambda: (device,)
    hands.key(KEY.Key_Space)
    hands.until(screen.freeze.isVisible)
    hands.key(KEY.Key_Space)
    hands.until(lambda: screen.is_frozen)
    hands.key(KEY.Key_Return, CTRL)
    photo_kept(hands, "P1", "camera-")
    hands.key(KEY.Key_Escape)
    hands.screen("location")


def place_rims(hands: Hands) -> None:
    """Press once inside the hole, after a look at it closer by; both rims are found."""
    screen = at(hands, "B1.covered", "Front bearing")
    hands.until(lambda: screen.photo_pane.photo)
    hands.key(KEY.Key_P)
    marking = hands.screen("marking")
    assert isinstance(marking, MarkingScreen)
    hands.until(lambda: marking.placing.about.is_whole)
    hands.until(lambda: marking.placing.state in {"press", "placing"})
    if marking.placing.state == "press":
        canvas, hole = marking.canvas, Point(*HOLE["click"])
        zoom = canvas.zoom()
        hands.wheel(canvas, canvas.to_viewport(hole), 2)
        assert canvas.zoom() > zoom
        hands.click(canvas, canvas.to_viewport(hole))
        hands.until(lambda: marking.placing.state == "placing")
    assert marking.question == "Do both rims lie on their edges?"
    assert marking.placing.sitting is not None
    photo = marking.placing.sitting.taken.photo
    hands.until(lambda: not marking.placing._quiet.isActive())
    hands.kept(f"draft B1.covered {photo}")


def accept(hands: Hands) -> None:
    """Accept the rims that are placed; they are measured and filed."""
    if hands.desk.where.room != "marking":
        place_rims(hands)
    marking = hands.screen("marking")
    assert isinstance(marking, MarkingScreen)
    hands.key(KEY.Key_A)
    hands.screen("location")
    hands.hears("filed as marks no. ")
    hands.kept("marks B1.covered")


def read_gauge(hands: Hands) -> None:
    """Let the calliper type, with the focus on a button beside the box."""
    screen = at(hands, "P1.bore", "Core plug")
    screen.foot.history.setFocus()
    hands.burst(READINGS["P1.bore"])
    reading_kept(hands, screen, "P1.bore")


def type_reading(hands: Hands) -> None:
    """Type a reading into the box."""
    screen = at(hands, "P1.plug", "Core plug")
    assert screen.column.box.figures.hasFocus()
    hands.type(READINGS["P1.plug"])
    hands.key(KEY.Key_Return)
    reading_kept(hands, screen, "P1.plug")


def be_refused(hands: Hands) -> None:
    """Try to put the cover on while something is unproven."""
    screen = hold(hands)
    if screen.waiver.isVisible():
        hands.key(KEY.Key_Return, CTRL)
        hands.until(lambda: screen.refused.text().startswith("Refused "))
        hands.kept("refused cover")


def waive(hands: Hands) -> None:
    """Waive what is unproven in writing."""
    screen = hold(hands)
    if not screen.waiver.isVisible():
        return
    for field, text in zip(screen.waiver.fields, WAIVER, strict=True):
        hands.type_into(field.box, text)
    hands.key(KEY.Key_W, ALT)
    hands.hears("P1.clean is waived in writing")
    hands.until(lambda: screen.title.text() == "Side cover may go on.")
    hands.kept("waived cover P1.clean")


def close(hands: Hands) -> None:
    """Put the cover on."""
    screen = hold(hands)
    if hands.desk.round.hold("cover").closed is None:
        hands.key(KEY.Key_Return, CTRL)
        hands.hears("Side cover is on.")
    hands.until(lambda: screen.title.text() == "Side cover is on.")
    hands.kept("closed cover")


def report(hands: Hands) -> None:
    """Make the report and see its pages."""
    hands.key(KEY.Key_F9)
    screen = hands.screen("report")
    assert isinstance(screen, ReportScreen)
    hands.key(KEY.Key_Return, CTRL)
    hands.until(lambda: screen.pages.count > 0)


ACTS = (
    Act("begin", ("B1.covered",), begin),
    Act("limit", (), give_limit),
    Act("dropped photo", ("B1.covered",), drop_photo),
    Act("pasted photo", ("P1.bore",), paste_photo),
    Act("camera photo", ("P1.bore",), take_photo),
    Act("rims", ("B1.covered",), place_rims),
    Act("marks", ("B1.covered",), accept),
    Act("calliper", ("P1.bore",), read_gauge),
    Act("typed reading", ("P1.bore", "P1.plug"), type_reading),
    Act("refusal", ("cover",), be_refused),
    Act("waiver", ("cover",), waive),
    Act("closing", ("cover",), close),
    Act("report", (), report),
)


# --- private --------------------------------------------------------------------------------


def plan_file(folder: Path) -> Path:
    """Write the plan to a file and return it."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "front-cover.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


def at(hands: Hands, key: str, words: str) -> LocationScreen:
    """Go to a check by the round's find box, its location's name, and the keys of its checks."""
    if hands.desk.where.room != "location" or hands.desk.where.location != key.partition(".")[0]:
        hands.find(words)
    screen = hands.screen("location")
    assert isinstance(screen, LocationScreen)
    if hands.desk.where.key != key:
        assert hands.desk.place is not None
        number = [check.key for check in hands.desk.place.checks].index(key)
        hands.key(KEY(KEY.Key_1 + number), ALT)
    hands.until(lambda: hands.desk.where.key == key)
    return screen


def hold(hands: Hands) -> HoldScreen:
    """Go to the hold point by the round's find box."""
    if hands.desk.where.room != "hold":
        hands.find("Side cover")
    screen = hands.screen("hold")
    assert isinstance(screen, HoldScreen)
    hands.until(screen.title.isVisible)
    return screen


def photo_kept(hands: Hands, location: str, name: str) -> None:
    """See that a photo was kept, and at which location."""
    hands.until(lambda: any(name in said for said in hands.told))
    hands.until(lambda: newest(hands.desk.round.place(location), name))
    hands.kept(f"photo {location} {newest(hands.desk.round.place(location), name)}")


def newest(place: Place, name: str) -> str:
    """Return the id of the photo that came last of those with a file name, "" for none."""
    photos = [photo.taken.photo for photo in place.photos if name in photo.taken.file_name]
    return photos[-1] if photos else ""


def reading_kept(hands: Hands, screen: LocationScreen, key: str) -> None:
    """See below the box that a reading was kept."""
    hands.until(lambda: f"{READINGS[key]}: kept" in screen.column.echo.text)
    hands.kept(f"reading {key} {READINGS[key]}")
