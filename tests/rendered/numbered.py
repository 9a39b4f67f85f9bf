"""One picture by its number."""

from pathlib import Path

from tests.rendered.picture import make
from tests.rendered.scenes import scene, visible_arc_deg


def make_numbered(wanted: tuple[int, Path]) -> str:
    """Make the picture of a number in a folder, unless it is there; return a line about it.

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
