"""What is said of photos that come in: progress, questions, the sum at the end. No Qt."""

from dataclasses import dataclass, field

from capture.desk.photos.coming import Kept


@dataclass
class Tally:
    """What became of the files that came together."""

    expected: int = 0
    begun: int = 0
    kept: list[Kept] = field(default_factory=list)
    before: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


def progress(tally: Tally, file_name: str) -> str:
    """Return "reading IMG_2.jpg, 2 of 7"."""
    if tally.expected <= 1:
        return f"reading {file_name}"
    return f"reading {file_name}, {tally.begun} of {tally.expected}"


def unreadable(sentence: str) -> str:
    """Return what is asked about a file that can't be shown."""
    return (
        f"{sentence}. Or keep the file as it is: it can't be shown here, and is never measured on"
    )


def again(file_name: str, where: tuple[str, ...]) -> str:
    """Return what is asked about a photo that is filed elsewhere already."""
    return f"{file_name} was filed before, at {', '.join(where)}: is it the right photo?"


def there_before(number: int, folder: str) -> str:
    """Return what is asked about files that were in a watched folder before it was watched."""
    what = "1 picture in" if number == 1 else f"{number} pictures in"
    return f"{what} {folder} came after this job was begun, and not into its book: take in?"


def left_out(names: list[str]) -> str:
    """Return that these were not taken in."""
    if len(names) == 1:
        return f"{names[0]} was left out; it is where it was"
    return f"{len(names)} photos were left out; they are where they were"


def tally(done: Tally) -> str:
    """Return the sum of what was kept and of what was filed before, "" if there is neither."""
    return "; ".join(filter(None, (_kept(done.kept), _before(done.before))))


def _kept(kept: list[Kept]) -> str:
    if not kept:
        return ""
    if len(kept) == 1:
        by = ", by the tag in it" if kept[0].by_tag else ""
        return f"kept {kept[0].file_name} at {kept[0].location} as {kept[0].role}{by}"
    counts: dict[str, int] = {}
    for each in kept:
        counts[each.location] = counts.get(each.location, 0) + 1
    return "kept " + ", ".join(
        f"{number} photo{'s' if number > 1 else ''} at {location}"
        for location, number in counts.items()
    )


def _before(before: list[tuple[str, tuple[str, ...]]]) -> str:
    if not before:
        return ""
    if len(before) == 1:
        name, where = before[0]
        return f"{name} was filed before, at {', '.join(where)}, and is not filed twice"
    return f"{len(before)} photos were filed before and are not filed twice"
