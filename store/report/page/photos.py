"""Photos in the page: the copy, the marks laid over it, its words; and the block map."""

import re
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from store.report.labels import Hole, Layout, laid_out
from store.report.page import signs
from store.report.page.copies import Copy
from store.report.page.markup import Child, Html, joined, tag
from store.report.page.pieces import Setting, bits, notes, row
from store.report.prints import Print

_PIXELS_PER_PT, _MOST_PX = 5.0, 1280  # of a printed point; a telephone shows three to a CSS pixel
_MAP_WIDE, _LABEL_HIGH, _LETTER, _SIGN = 330.0, 20.0, 9.8, 15.0
_NOT_TAKEN = Copy(why="no copy of it was made")
_PLAIN_SVG = re.compile(r'<svg xmlns="[^"]*" width="\d+" height="\d+"')


def width_px(width_pt: float) -> int:
    """Return how many pixels wide the copy in the page is of a photo printed so wide."""
    return round(min(_MOST_PX, width_pt * _PIXELS_PER_PT))


def overlays(prints: Sequence[Print]) -> dict[str, Html]:
    """Return the marks of each photo by the name of their file, to be laid over the picture."""
    # Made by annotate.drawings.overlay from numbers alone; the page gives it its size.
    return {
        made.data["overlay"]: Html(
            _PLAIN_SVG.sub(
                '<svg class="overlay" aria-hidden="true" preserveAspectRatio="none"', made.overlay
            )
        )
        for made in prints
        if made.overlay
    }


class Album(Struct, frozen=True):
    """The photos of a page: their copies in the setting, and the marks by file name."""

    setting: Setting
    marks: dict[str, Html]

    def figure(self, photo: dict[str, Any], kind: str = "photo") -> Html:
        """Return one photo with its head, marks and caption."""
        head = tag("p", bits(photo["head"], self.setting), class_="photo-head")
        below = tag("figcaption", bits(photo["caption"], self.setting))
        if kind == "photo small":
            words = tag("div", head, below)
            return tag("figure", self._picture(photo), words, class_=kind)
        return tag("figure", head if photo["head"] else None, self._picture(photo), below,
                   class_=kind)  # fmt: skip

    def _picture(self, photo: dict[str, Any]) -> Html:
        copy = self.setting.copies.get(photo["file"], _NOT_TAKEN)
        if copy.why:
            return _unshown(copy.why)
        picture = tag(
            "img", src=copy.uri, alt=photo["alt"], width=copy.width_px, height=copy.height_px
        )
        return tag("div", picture, self.marks.get(photo["overlay"]), class_="picture")

    def of_location(self, photos: list[dict[str, Any]]) -> Html:
        """Return a location's photos: the large ones, the key to their lines, the small ones."""
        large = [photo for photo in photos if photo["large"]]
        small = [photo for photo in photos if not photo["large"]]
        pair = "pair" if len(large) > 1 else "single"
        marked = next((photo for photo in large if photo["overlay"]), None)
        return joined([
            tag("div", *map(self.figure, large), class_=pair) if large else None,
            _key(marked) if marked else None,
            self.small(small),
        ])  # fmt: skip

    def small(self, photos: list[dict[str, Any]]) -> Html:
        """Return photos small, their words beside them."""
        if not photos:
            return Html()
        return tag("div", *(self.figure(each, "photo small") for each in photos), class_="strip")

    def block_map(self, data: dict[str, Any], at: str) -> Html:
        """Return a photo of the block with every location stamped on it, and the list of them."""
        copy = self.setting.copies.get(data["file"], _NOT_TAKEN)
        caption = tag("figcaption", bits(data["caption"], self.setting))
        picture = _unshown(copy.why) if copy.why else _stamped(data, copy)
        listed = tag("ul", *(self._listed(each) for each in data["list"]), class_="sign-list")
        number = f" {data['number'].split()[0]}" if data["number"] else ""
        inside = row(
            "Block map", "The sign is that of the worst check at each location.",
            tag("p", bits(data["lead"], self.setting)),
            tag("figure", picture, caption, class_="photo map"), listed,
        )  # fmt: skip
        return tag("section", tag("h2", f"Map{number}: where each location is"), inside, id=at)

    def _listed(self, each: dict[str, Any]) -> Html:
        where = self.setting.anchors.get(each["id"])
        named = tag("b", each["id"])
        linked = tag("a", named, href=f"#{where}") if where else named
        told = signs.told(each["state"], suspect=each["suspect"]) if each["state"] else None
        return tag("li", linked, " ", told, tag("span", each["name"], class_="soft name"))

    def row(self, place: dict[str, Any]) -> Child:
        """Return the row of a location's photos and of those that were demanded, None for none."""
        if not place["photos"] and not place["photo-notes"]:
            return None
        lane = place["photo-lane"] if place["photos"] else None
        said = notes(place["photo-notes"], self.setting)
        return row("Photos", lane, self.of_location(place["photos"]), said)


def _unshown(why: str) -> Html:
    return tag("p", f"This photo can not be shown: {why}.", class_="unshown")


def _key(photo: dict[str, Any]) -> Html:
    drawn = [
        ("near", f"white: edge of the {photo['near']}"),
        ("far", f"blue: edge of the {photo['far']}"),
        ("far hidden", "dashed where hidden"),
    ]
    parts = []
    for kind, said in drawn:
        lines = [
            tag("line", x1=0, x2=28, y1=6, y2=6, class_="casing"),
            tag("line", x1=0, x2=28, y1=6, y2=6, class_=f"rim {kind}"),
        ]
        shown = tag("svg", *lines, width=28, height=12, aria_hidden="true")
        parts.append(tag("span", shown, " ", said, class_="key"))
    return tag("p", *parts, class_="keys")


def _stamped(data: dict[str, Any], copy: Copy) -> Html:
    """Return the map as one drawing, its stamps large enough for a telephone."""
    wide = _MAP_WIDE
    layout = _laid_out(data, wide)
    if layout.margin:
        # The margins come out of the page's width, and the holes move with the smaller picture.
        wide = max(_MAP_WIDE - 2 * layout.margin, _MAP_WIDE / 3)
        layout = _laid_out(data, wide)
    full = wide + 2 * layout.margin
    size = wide / data["width"]
    picture = tag("image", href=copy.uri, width=wide, height=data["height"] * size)
    leaders, stamps = [], []
    for mark, label in zip(data["marks"], layout.labels, strict=True):
        line = {"x1": label.from_x, "y1": label.from_y, "x2": label.to_x, "y2": label.to_y}
        leaders += [
            tag("line", class_="leader casing", **line),
            tag("line", class_="leader", **line),
        ]
        leaders.append(tag("circle", cx=label.from_x, cy=label.from_y, r=2.5, class_="hole"))
        corner = f"translate({label.left:.2f} {label.top:.2f})"
        stamps.append(tag("g", *_stamp(mark, label.width), transform=corner))
    return tag(
        "svg", picture, *leaders, *stamps, role="img", aria_label=data["alt"],
        viewBox=f"{-layout.margin:.2f} 0 {full:.2f} {layout.height:.2f}",
    )  # fmt: skip


def _stamp(mark: dict[str, Any], wide: float) -> list[Html]:
    plate = tag("rect", width=wide, height=_LABEL_HIGH, class_="plate")
    number = tag("text", mark["id"], x=4, y=14.5, class_="stamp")
    if not mark["state"]:
        return [plate, number]
    sign = signs.sign(mark["state"], suspect=mark["suspect"])
    return [plate, number, tag("svg", sign, x=wide - _SIGN - 3, y=1.5, width=_SIGN, height=_SIGN)]


def _laid_out(data: dict[str, Any], wide: float) -> Layout:
    size = wide / data["width"]
    holes = [
        Hole(mark["x"] * size, mark["y"] * size, _stamp_wide(mark), _LABEL_HIGH)
        for mark in data["marks"]
    ]
    return laid_out(holes, wide, data["height"] * size)


def _stamp_wide(mark: dict[str, Any]) -> float:
    return _LETTER * len(mark["id"]) + 9 + (_SIGN + 2 if mark["state"] else 0)
