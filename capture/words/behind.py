"""How far behind a printed target the edges of holes lie, and what that makes of them: in words."""

from annotate.flat_face.behind import side_of, smaller_percent
from annotate.quantity import Quantity
from capture.told_of_faces import Face
from capture.words.quantities import interval_text, quantity_text


def note(face: Face) -> str:
    """Return what lying behind the target, or before it, makes of lengths on this photo.

    "" where nothing was measured.
    """
    if face.height is None:
        return ""
    if face.behind is None:
        return (
            f"the holes' edges are taken to lie in the target's plane, {_away(face.height)} from "
            "the camera: each millimetre that they lie behind it makes them look "
            f"{_percent(smaller_percent(1.0, face.height.value))} smaller, in front of it as much "
            'larger; where they do, say so (--behind "3 mm +- 0.5 mm")'
        )
    z, where = face.behind.value, f"the target at {_away(face.height)} from the camera"
    if z == 0:
        return f"edges in the plane of {where}: what is not known of it is in the intervals"
    size = quantity_text(Quantity(abs(z), "mm", face.behind.u))
    return (
        f"edges {size} {side_of(z)} {where}: seen {_percent(smaller_percent(z, face.height.value))}"
        f" {'larger' if z < 0 else 'smaller'}; put right, and what is not known of it is in the "
        "intervals"
    )


def _away(height: Quantity) -> str:
    return f"{height.value:.0f} mm (95 %: {interval_text(height)})"


def _percent(value: float) -> str:
    return f"{abs(value):.2g} %"
