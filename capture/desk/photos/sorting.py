"""Where a photo is filed: its tag outranks what is shown; in doubt one asks. No Qt."""

from collections.abc import Mapping

from msgspec import Struct


class Sorted(Struct, frozen=True):
    """Where a photo belongs, or (``location`` empty) the sentence ``doubt`` of why nobody knows.

    ``by_tag``: the tag in the picture said so.
    """

    location: str = ""
    by_tag: bool = False
    doubt: str = ""


def sort(
    file_name: str, seen: set[int], numbers: Mapping[str, int], *, said: str = "", shown: str = ""
) -> Sorted:
    """Return where a photo belongs.

    ``said`` is where somebody said it does, and is not doubted. ``seen`` are the numbers of the
    tags in the picture, ``numbers`` those of ``store.told.tags``, ``shown`` the location on the
    screen.
    """
    if said:
        return Sorted(said)
    locations = {number: location for location, number in numbers.items()}
    strange = sorted(seen - set(locations))
    if strange:
        return Sorted(doubt=f"{file_name} shows tag {strange[0]}, which is of no location of this "
                      "job: at which location was it taken?")  # fmt: skip
    if len(seen) > 1:
        named = " and ".join(locations[number] for number in sorted(seen))
        return Sorted(doubt=f"{file_name} shows the tags of {named}: at which was it taken?")
    if seen:
        return Sorted(locations[next(iter(seen))], by_tag=True)
    if shown:
        return Sorted(shown)
    return Sorted(doubt=f"{file_name} shows no tag, and no location is on the screen: at which "
                  "location was it taken?")  # fmt: skip
