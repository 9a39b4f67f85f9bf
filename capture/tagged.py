"""A photo with a tag of our own in it -> the location that it was taken at."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from annotate.own_targets import TAG_DICTIONARY, TAG_MM
from annotate.quantity import Quantity
from capture.errors import BadPhoto
from capture.intake.photo import Photo
from store.evidence import View

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Pixels = npt.NDArray[np.uint8]

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


def refuse_other_tags(
    photo: Photo, location: str, numbers: Mapping[str, int], *, view: View = "direct"
) -> None:
    """Raise BadPhoto if a tag in a photo says that it was taken elsewhere than at ``location``.

    ``numbers`` as of ``tagged_location``. With the location's own tag in it others may be, too; a
    photo without a tag says nothing.
    """
    picture = photo.small if photo.pixels is None else photo.pixels
    if picture is None:
        return
    seen = tags_glanced(picture, view)
    if not seen or numbers.get(location) in seen:
        return
    locations = {number: name for name, number in numbers.items()}
    named = " and ".join(
        f"the tag of {locations[number]}" if number in locations else f"another job's tag {number}"
        for number in sorted(seen)
    )
    raise BadPhoto(
        f"{photo.file_name} shows {named} and was to be filed at {location}: look which is right, "
        f"and file it where its tag says, or with 'benchproof photo --at {location} --stands "
        "WORDS' say why it belongs there all the same"
    )


def tags_seen(photo: Photo, view: View = "direct") -> set[int]:
    """Return the numbers of the tags in a photo; in a mirror they are looked for turned round.

    Raises BadPhoto for a photo that can't be shown.
    """
    from annotate.target import find_markers  # noqa: PLC0415 - only where a picture is looked at

    if photo.pixels is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}, so no tag is seen on it: {_SAY_AT}")
    side = Quantity(TAG_MM, "mm")
    return {
        marker.identifier
        for picture in _either_way(photo.pixels, view)
        for marker in find_markers(picture, side, TAG_DICTIONARY)
    }


def tags_glanced(picture: "Pixels", view: View = "direct") -> set[int]:
    """Return what ``tags_seen`` does, of a small copy of a large picture: a small tag is missed."""
    from annotate.target import markers_seen  # noqa: PLC0415 - only where a picture is looked at

    each = _either_way(picture, view)
    return {number for picture in each for number in markers_seen(picture, TAG_DICTIONARY)}


def _either_way(picture: "Pixels", view: View) -> "list[Pixels]":
    """Return the picture, and turned round what was not seen directly."""
    import numpy as np  # noqa: PLC0415 - only where a picture is looked at

    if view == "direct":
        return [picture]
    return [picture, np.ascontiguousarray(picture[:, ::-1])]  # a borescope with a prism mirrors too
