"""One picture by its number."""

from pathlib import Path

from tests.rendered.face_picture import make_face
from tests.rendered.faces import face_scene
from tests.rendered.picture import make
from tests.rendered.scenes import scene, visible_arc_deg


def make_numbered(wanted: tuple[int, Path]) -> str:
    """Make the picture of two holes of a number in a folder, unless it is there; tell of it.

    Apart from ``__main__``, which a process that is spawned does not load.
    """
    number, folder = wanted
    one = scene(number)
    if not (folder / f"{one.name}.json").exists():
        make(one, folder)
    return (
        f"{one.name}  {one.light:9} covered {one.drilling.covered():.3f}  "
        f"arc {visible_arc_deg(one):3.0f} deg  line of sight {one.sight_deg:2.0f} deg"
    )


def make_numbered_face(wanted: tuple[int, Path]) -> str:
    """The same for a flat face."""
    number, folder = wanted
    one = face_scene(number)
    if not (folder / f"{one.name}.json").exists():
        make_face(one, folder)
    return (
        f"{one.name}  {one.light:9} {len(one.plate.holes)} holes, {one.known['type']:10}  "
        f"tilt {one.tilt_deg:2.0f} deg"
    )
