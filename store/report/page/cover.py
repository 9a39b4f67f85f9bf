"""The head of the page: how much is shown, and before anything else what is not."""

from typing import Any

from store.report.page import signs
from store.report.page.markup import Child, Html, joined, tag
from store.report.page.photos import Album
from store.report.page.pieces import bits, notes, row, table

NOT_MEASURED = "Asked for, and not done. Nothing in this report speaks for these."
EYE = "Measured, and not simply within."
CAUTIONS = "Please read before you go on. The maker's manual and local rules come first."
COUNTS_OPEN = "What does not add up."
LEFT_OUT = "Never asked for."
WHOSE = "Only a person can say whose engine it is."
_SEAL = "The seal in the foot shows that the files are unchanged."


def cover(data: dict[str, Any], album: Album) -> Html:
    """Return the head of the page from the data of page 1."""
    said, setting = data["cover"], album.setting
    alarm = data["alarm"]
    head = tag(
        "header",
        tag("p", bits(alarm, setting), class_="alarm", role="alert") if alarm else None,
        tag("p", tag("b", said["kind"], class_="kind"), f" {data['head']['job']}, {said['date']}",
            class_="soft"),
        tag("h1", "What was checked, and what was not"),
        tag("p", said["subject"], class_="subject"),
        tag("p", bits(said["lead"], setting)),
        tag("p", tag("b", data["head"]["state"]), f" · {said['shop']}", class_="soft"),
    )  # fmt: skip
    rows = [_count(said), _missing(said, album), _eye(said, album), *_open(said)]
    rows += [_cautions(said, album)]
    rows += [row("Not in this job", LEFT_OUT, tag("p", said["left-out"]), level=2)]
    rows += [_who(said, album, sound=not alarm)]
    return joined([head, *rows])


def _count(said: dict[str, Any]) -> Html:
    counts = [
        tag("li", tag("span", str(each["n"]), class_="number"), signs.told(each["state"]))
        for each in said["counts"]
    ]
    return row(
        "The count", said["count-lane"],
        tag("ul", *counts, class_="counts"), tag("p", said["count-line"]),
        signs.string(said["string"]), tag("p", said["legend"], class_="small"), level=2,
    )  # fmt: skip


def _missing(said: dict[str, Any], album: Album) -> Child:
    data = said["not-measured"]
    if not data["rows"]:
        return None
    shown = table(data, album.setting, caption="What was asked for and not measured")
    below = notes(data["notes"], album.setting)
    return row("Not measured", NOT_MEASURED, shown, below, level=2)


def _eye(said: dict[str, Any], album: Album) -> Child:
    if not said["eye"]["rows"]:
        return None
    caption = "What was measured and is not simply within its limit"
    return row("Needs your eye", EYE, table(said["eye"], album.setting, caption=caption), level=2)


def _open(said: dict[str, Any]) -> list[Html]:
    if not said["counts-open"]:
        return []
    lines = [tag("p", each) for each in said["counts-open"]]
    return [row("Counts open", COUNTS_OPEN, *lines, level=2)]


def _cautions(said: dict[str, Any], album: Album) -> Child:
    if not said["cautions"]:
        return None
    lines = [tag("p", bits(each, album.setting)) for each in said["cautions"]]
    return row("Cautions", CAUTIONS, *lines, level=2, at="cautions")


def _who(said: dict[str, Any], album: Album, *, sound: bool) -> Html:
    facts = []
    for name, value in said["who"]:
        facts += [tag("dt", name), tag("dd", bits(value, album.setting))]
    picture = said["picture"]
    return row(
        "Who and what", f"{_SEAL} {WHOSE}" if sound else WHOSE,
        tag("dl", *facts, class_="facts"),
        album.figure(picture, "photo arrival") if picture else None,
        tag("p", said["pledge"]),
        tag("p", said["signer"], class_="signature small"),
        level=2,
    )  # fmt: skip
