"""A photo with a tag of our own in it -> the location that it was taken at."""

from collections.abc import Mapping

from annotate.own_targets import TAG_DICTIONARY, TAG_MM
from annotate.quantity import Quantity
from capture.errors import BadPhoto
from capture.intake.photo import Photo
from store.evidence import View

_SAY_AT = "file it with --at LOCATION"


def tagged_location(photo: Photo, numbers: Mapping[str, int], *, view: View = "direct") -> str:
    """Return the location whose tag is seen; ``numbers`` are those of ``store.told.tags``.

    Raises BadPhoto unless the tags in the picture are all of one location of the job.
    """
    seen = tags_seen(photo, view)
    locations = {number: location for location, number in numbers.items()}
    strange = sorted(seen - set(locations))
    if strange:
        raise BadPhoto(
            f"{photo.file_name} shows tag {strange[0]}, which is of no location of this job: is "
            f"it another job's tag? Photograph it with this job's, or {_SAY_AT}"
        )
    if not seen:
        raise BadPhoto(
            f"{photo.file_name} shows no tag: get a tag in whole with its white border, sharp and "
            f"without glare, or {_SAY_AT}"
        )
    if len(seen) > 1:
        named = " and ".join(locations[number] for number in sorted(seen))
        raise BadPhoto(
            f"{photo.file_name} shows the tags of {named}: leave only one in the picture, or "
            f"{_SAY_AT}"
        )
    return locations[seen.pop()]


def tags_seen(photo: Photo, view: View = "direct") -> set[int]:
    """Return the numbers of the tags in a photo; in a mirror they are looked for turned round.

    Raises BadPhoto for a photo that can't be shown.
    """
    import numpy as np  # noqa: PLC0415 - only where a picture is looked at

    from annotate.target import find_markers  # noqa: PLC0415 - the same

    if photo.pixels is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}, so no tag is seen on it: {_SAY_AT}")
    pictures = [photo.pixels]
    if view != "direct":  # a borescope with a prism mirrors too
        pictures.append(np.ascontiguousarray(photo.pixels[:, ::-1]))
    side = Quantity(TAG_MM, "mm")
    return {
        marker.identifier
        for picture in pictures
        for marker in find_markers(picture, side, TAG_DICTIONARY)
    }
