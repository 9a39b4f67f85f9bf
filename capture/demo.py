"""An invented job from plan to report: real pictures in, real measurements, nothing canned.

The pictures were rendered from scenes whose dimensions are known; beside each measured coverage
stands the known one. Everything is done through ``Journey``, as at the bench.
"""

import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.resources import as_file, files
from pathlib import Path
from typing import NamedTuple

from annotate.result import Known
from capture import layers
from capture.errors import WrongUse
from capture.intake.photo import Photo, read_photo
from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.errors import NotProven
from store.evidence import Marked, PhotoTaken
from store.plan import Plan
from store.round import Check

# Invented, as the whole job is: the user's own name must not stand under it.
BUILDER = "R. Ansell"
BENCH = "demo-bench"

Step = Callable[[str], None]


class Told(NamedTuple):
    """What a demo tells while it runs: ``act`` what is done, ``outcome`` what came of it."""

    act: Step
    outcome: Step
    check: Callable[[Check], None]


def read_demo_plan() -> Plan:
    """Return the plan that is shipped for the demo."""
    return parse_plan(files("capture.plans").joinpath("demo.toml").read_bytes(), "demo.toml")


def fresh_folder(wanted: Path) -> Path:
    """Return the folder, or the first of NAME-2, NAME-3 ... that is not there yet."""
    if not wanted.exists():
        return wanted
    number = 2
    while (folder := wanted.with_name(f"{wanted.name}-{number}")).exists():
        number += 1
    return folder


def walk(journey: Journey, told: Told) -> None:
    """Walk the demo's job on a book that was just begun with its plan."""
    _oil_holes(journey, told)
    _gallery_plug(journey, told)
    _core_plug(journey, told)
    _close(journey, "front-cover", told)


def _oil_holes(journey: Journey, told: Told) -> None:
    told.act("B1: photo of the oil hole, one click in it")
    _coverage(journey, "B1.covered", "bearing-1.jpg", told)
    told.act("B2: the same; wall and bore are not known here")
    _coverage(journey, "B2.covered", "bearing-2-found.jpg", told)
    told.act("B3: the rims placed by hand, point by point")
    _coverage(journey, "B3.covered", "bearing-3.jpg", told, by_hand=True)
    _close(journey, "camshaft", told)
    told.act("B2 is turned and driven again: a new photo, a new attempt")
    _coverage(journey, "B2.covered", "bearing-2-turned.jpg", told)
    told.act("B3 stays too close to call, so a pin is tried")
    told.check(journey.reading("B3.pin", "yes"))
    told.act("B3: the builder decides in writing, the verdict stays what it is")
    journey.waive(
        "camshaft",
        "B3.covered",
        reason="too close to call on the photo, and the 2.7 mm pin passes",
        decided_by=f"{BUILDER}, builder",
        owner_agreed="by phone, confirmed by letter",
    )
    told.outcome("waived, with reason, name and how the owner agreed")
    _close(journey, "camshaft", told)


def _gallery_plug(journey: Journey, told: Told) -> None:
    told.act('G1: depth of the plug, typed "19/64 in BELOW" off a rule')
    wrong = journey.reading("G1.depth-face", "19/64 in BELOW")
    told.check(wrong)
    told.act('that was misread: struck, stays legible, typed again as "23/64 in BELOW"')
    if wrong.current:
        journey.strike(wrong.current.stamp.entry, "read from the wrong end of the rule")
    told.check(journey.reading("G1.depth-face", "23/64 in BELOW"))
    told.act('G1: the same depth from a second datum, "9.17 mm BELOW"')
    told.check(journey.reading("G1.depth-pad", "9.17 mm BELOW"))
    told.check(journey.round().check("G1.datums-agree"))


def _core_plug(journey: Journey, told: Told) -> None:
    told.act("K1: bore and plug, before the hammer")
    told.check(journey.reading("K1.bore", "38.514 mm"))
    told.check(journey.reading("K1.plug", "39.322 mm"))
    told.check(journey.round().check("K1.press"))
    for hint in journey.fit_hints("K1.plug"):
        told.outcome(hint)


def _coverage(
    journey: Journey, key: str, picture: str, told: Told, *, by_hand: bool = False
) -> None:
    """File a sample picture, place its rims, measure, and tell both answers."""
    location = key.split(".", maxsplit=1)[0]
    known = known_hole(picture)
    photo = sample_photo(picture)
    entry = journey.add_photo(photo, location=location, role="close-up")
    placed = layers.with_rims(
        layers.bare_layer(photo),
        photo,
        click=None if by_hand else known.click,
        near_points=known.near_points if by_hand else None,
        far_points=known.far_points if by_hand else None,
    )
    if not isinstance(entry.evidence, PhotoTaken):
        raise WrongUse(f"{picture} was not filed as a photo")
    check = journey.coverage(key, entry.evidence.photo, placed.layer, journey.givens(key))
    told.check(check)
    told.outcome(_against_the_known(check, known))


def _against_the_known(check: Check, known: "KnownHole") -> str:
    record = check.current.record if check.current else None
    if not isinstance(record, Marked) or not isinstance(record.result.covered, Known):
        return f"the picture's known answer is {100 * known.covered:.1f} % covered"
    low, high = record.result.covered.quantity.interval()
    inside = "inside" if low <= known.covered <= high else "OUTSIDE"
    return (
        f"known answer of this rendered picture: {100 * known.covered:.1f} % covered, {inside} "
        f"the measured interval of {100 * low:.1f} to {100 * high:.1f} %"
    )


def _close(journey: Journey, hold_id: str, told: Told) -> None:
    hold = journey.plan.hold_point(hold_id)
    told.act(f"hold point: {hold.name}?")
    try:
        journey.close(hold_id)
    except NotProven as refused:
        told.outcome(f"refused, {len(refused.unproven)} unproven:")
        for key, why in refused.unproven:
            told.outcome(f"  {key}: {why}")
    else:
        told.outcome("closed: everything it hides is proven or waived in writing")


class KnownHole(NamedTuple):
    """What is known of a sample picture: the true coverage, and where to click on it."""

    covered: float
    click: tuple[float, float]
    near_points: tuple[tuple[float, float], ...]
    far_points: tuple[tuple[float, float], ...]


def known_hole(picture: str) -> KnownHole:
    """Return the known answer of one sample picture of an oil hole."""
    text = files("sample_images").joinpath("answers.toml").read_text(encoding="utf-8")
    for hole in tomllib.loads(text)["hole"]:
        if hole["file"] == picture:
            return KnownHole(
                covered=hole["covered"],
                click=(hole["click"][0], hole["click"][1]),
                near_points=tuple((x, y) for x, y in hole["near_points"]),
                far_points=tuple((x, y) for x, y in hole["far_points"]),
            )
    raise WrongUse(f"no known answer of {picture!r} among the sample pictures")


def sample_photo(picture: str) -> Photo:
    """Return a sample picture, read as any photo is."""
    with _sample_path(picture) as path:
        return read_photo(path)


@contextmanager
def _sample_path(picture: str) -> Iterator[Path]:
    with as_file(files("sample_images").joinpath(picture)) as path:
        yield path
