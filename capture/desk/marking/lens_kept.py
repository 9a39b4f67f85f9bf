"""The lens profile that is kept with the book and may be used on a photo."""

from typing import NamedTuple

from annotate.errors import CannotMeasure
from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from capture.errors import BadProfile
from capture.journey import Journey
from capture.lenses import WHAT, read_profile
from store.errors import StoreError
from store.evidence import Marked, PaperKept, PhotoTaken


class KeptLens(NamedTuple):
    """A profile as it is used on one photo, the entry of its file, and the file's name."""

    entry: str
    name: str
    profile: LensProfile


def lens_for(journey: Journey, taken: PhotoTaken) -> KeptLens | None:
    """Return the newest profile kept with the book that is of a photo's camera, None if none is.

    A profile does not say which camera it is of. It is taken for this one's only where both name
    their focal length and shape, these agree, and no other camera's photo was measured with it.
    """
    if taken.focal_35mm is None or taken.width_px is None or taken.height_px is None:
        return None
    layer = Layer(width_px=taken.width_px, height_px=taken.height_px, focal_35mm=taken.focal_35mm)
    told = journey.book.told
    for entry in reversed(journey.book.entries()):
        paper = entry.evidence
        if not isinstance(paper, PaperKept) or paper.what != WHAT:
            continue
        if told.struck_by(entry.hash, told.now) or not _is_of(journey, entry.hash, taken.camera):
            continue
        try:
            profile = read_profile(journey.book.paper_path(paper.paper))
            if profile.focal_35mm is None:
                continue
            return KeptLens(entry.hash, paper.file_name, profile.used_on(layer))
        except (BadProfile, CannotMeasure, StoreError):
            continue
    return None


def _is_of(journey: Journey, entry: str, camera: str) -> bool:
    """Tell whether a profile was used on no other camera's photos yet."""
    entries = journey.book.entries()
    cameras = {
        e.evidence.photo: e.evidence.camera for e in entries if isinstance(e.evidence, PhotoTaken)
    }
    used_on = {
        cameras.get(each.evidence.photo, "")
        for each in entries
        if isinstance(each.evidence, Marked) and each.evidence.lens_paper == entry
    }
    return used_on <= {camera}
