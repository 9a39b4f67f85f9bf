"""What stands over and below a photo: its role, its number, when it came, which way is up."""

from annotate.drawings.overlay import Box, whole_box
from annotate.marks import Layer
from store.evidence import PhotoTaken
from store.report.attempts import name_of
from store.report.figures import TIMES, moment
from store.report.words import Bits
from store.round import Attempt, Check, Photo

_VIEWS = {
    "mirror": "seen in a mirror: left and right are changed over",
    "borescope": "seen through a borescope",
}


def head(photo: Photo, check_attempt: tuple[Check, Attempt] | None, *, large: bool) -> Bits:
    """Return what stands over a photo: its role, and what was measured on it."""
    if photo.struck is not None:
        return [{"struck": photo.taken.role}]
    bits: Bits = [{"bold": photo.taken.role}]
    if check_attempt is not None and large:
        check, attempt = check_attempt
        bits.append(f", {check.characteristic.id}, {name_of(check, attempt)}  ")
        if attempt.verdict is not None:
            bits.append({"state": attempt.verdict.state, "size": 10.5})
    return bits


def caption(photo: Photo, layer: Layer | None, box: Box | None) -> Bits:
    """Return what stands below a photo: its number, when it came, how it was taken and cropped."""
    taken = photo.taken
    clock = f"camera {moment(taken.camera_time)}" if taken.camera_time else "camera time unknown"
    bits: Bits = [
        "Photo ",
        {"mono": f"{taken.photo[:8]} {taken.photo[8:16]}"},
        f" · {clock}, arrived {moment(photo.stamp.at)}, {photo.stamp.by}{_seen_how(taken)}",
    ]
    if layer is not None and box is not None and box != whole_box(layer):
        bits.append(
            f" · cropped to {box.width} {TIMES} {box.height} "
            f"of {layer.width_px} {TIMES} {layer.height_px} px"
        )
    return bits


def _seen_how(taken: PhotoTaken) -> str:
    """Return what turned or mirrored the picture, which way is up, and the gauge in it."""
    said = [
        _VIEWS.get(taken.view, ""),
        f"up on the block: {taken.up}" if taken.up else "",
        f"gauge {taken.gauge} in the picture" if taken.gauge else "",
        f"shows {', '.join(taken.keys)}" if taken.keys else "",
        f"filed here although its tag is another's: {taken.stands}" if taken.stands else "",
    ]
    return "".join(f" · {each}" for each in said if each)
