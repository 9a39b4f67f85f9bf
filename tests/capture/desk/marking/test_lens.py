"""A lens profile kept with the book is used on its own camera's photos, and on no other's."""

from collections.abc import Callable

import pytest

from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from capture.desk.marking.acceptance import Accepted, file_accepted
from capture.desk.marking.lens_kept import KeptLens, lens_for
from capture.layers import hand_rim
from capture.lenses import WHAT, Made, profile_text
from store.evidence import PhotoTaken
from tests.capture.samples import HOLES

HOLE = HOLES["bearing-3.jpg"]


def profile(focal_35mm: float | None) -> str:
    """A file as the verb lens writes it, of a camera that takes 3200 x 2400 pixels."""
    made = LensProfile(
        fx=6000.0, fy=6000.0, cx=1599.5, cy=1199.5, k1=-0.02, k2=0.0, p1=0.0, p2=0.0, k3=0.0,
        width_px=3200, height_px=2400, rms_px=0.2, u_focal_px=5.0, u_centre_px=2.0,
        u_barrel=0.0005, focal_35mm=focal_35mm,
    )  # fmt: skip
    return profile_text(Made(made, (), 20.0))


@pytest.fixture
def keep(demo, qtbot, tmp_path) -> Callable[..., str]:
    """Keep a profile's file with the book."""

    def keep_(focal_35mm: float | None, what: str = WHAT) -> str:
        file = tmp_path / f"{focal_35mm}.toml"
        file.write_text(profile(focal_35mm), encoding="utf-8")
        kept = []
        demo.act(lambda j: j.add_paper(file, what=what), then=kept.append)
        qtbot.waitUntil(lambda: bool(kept))
        return kept[0].hash

    return keep_


def found_for(demo, qtbot, photo: str) -> tuple[PhotoTaken, KeptLens | None]:
    """Ask the book for the profile of a filed photo."""
    taken = next(p.taken for p in demo.round.place("B3").photos if p.taken.photo == photo)
    found = []
    demo.act(lambda j: lens_for(j, taken), then=found.append)
    qtbot.waitUntil(lambda: bool(found))
    return taken, found[0]


def test_only_a_profile_of_the_same_zoom_is_taken(demo, filed, keep, qtbot) -> None:
    photo = filed("bearing-3.jpg")  # its file says 70 mm and 1600 x 1200 pixels
    keep(None)
    keep(50.0)
    keep(70.0, what="a sheet that is no profile")
    assert found_for(demo, qtbot, photo)[1] is None
    entry = keep(70.0)
    _, kept = found_for(demo, qtbot, photo)
    assert (kept.entry, kept.name, kept.profile.width_px) == (entry, "70.0.toml", 1600)


def test_a_photo_that_says_no_zoom_is_measured_without(demo, filed, keep, qtbot) -> None:
    photo = filed("bearing-2-found.jpg")
    keep(70.0)
    keep(None)
    assert found_for(demo, qtbot, photo)[1] is None


def test_a_profile_of_one_camera_is_kept_from_anothers_photos(demo, filed, keep, qtbot) -> None:
    photo = filed("bearing-3.jpg")
    entry = keep(70.0)
    taken, kept = found_for(demo, qtbot, photo)
    layer = Layer(
        width_px=1600, height_px=1200, focal_35mm=70.0,
        marks=(hand_rim("near", HOLE["near_points"]), hand_rim("far", HOLE["far_points"])),
    )  # fmt: skip
    done = []
    demo.act(
        lambda j: file_accepted(
            j, Accepted("B3.covered", taken, layer, j.givens("B3.covered"), lens=kept)
        ),
        then=done.append,
    )
    qtbot.waitUntil(lambda: bool(done), timeout=60_000)
    marked = done[0].current.record
    assert (marked.lens_paper, marked.lens) == (entry, kept.profile)
    assert found_for(demo, qtbot, photo)[1] == kept
    # The same zoom and shape, another camera ("Example Cam X").
    other = taken.__class__(**{
        name: getattr(taken, name) for name in taken.__struct_fields__ if name != "camera"
    }, camera="Example Cam X")  # fmt: skip
    answers = []
    demo.act(lambda j: lens_for(j, other), then=answers.append)
    qtbot.waitUntil(lambda: bool(answers))
    assert answers == [None]
