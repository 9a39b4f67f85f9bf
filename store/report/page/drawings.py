"""Limit lines, agreements and budgets as inline SVG: a wall, a blade, a stem.

Places along a scale are per cent of its width, sizes across it are pixels: so a drawing is as wide
as its column on any screen, and its lines and letters keep their size.
"""

from typing import Any

from store.report.page import signs
from store.report.page.markup import Html, joined, tag

_LANE_HIGH, _MIDDLE = 38, 19
_SCALE_HIGH, _WORDS_AT, _WORDS_LINE = 24, 40, 18
_NARROW_PX, _WIDE_PX = 300, 540  # of a scale on a telephone, and in a column
_LETTER_PX, _APART_PX = 7.2, 10
_NEAR_END = 0.05
_THIRD = 0.34


def limit_line(line: dict[str, Any]) -> Html:
    """Return walls, blades and values of one check, a lane for each attempt, on one scale."""
    lanes = [_lane(lane, line["walls"]) for lane in line["lanes"]]
    return tag(
        "figure", *lanes, _scale(line["ticks"], line["walls"]), class_="limit", role="img",
        aria_label=line["alt"],
    )  # fmt: skip


def small_line(line: dict[str, Any]) -> Html:
    """Return the same without figures, for a cell of a table: the limit stands in words below."""
    (lane,) = line["lanes"]
    name = signs.NAMES[lane["state"]]
    stem = _upright(lane["value"], 3, _LANE_HIGH, f"stem {name}")
    axis = tag("line", x1="0%", x2="100%", y1=_LANE_HIGH, y2=_LANE_HIGH, class_="axis")
    blades = [_blade(each, name) for each in lane["blades"]]
    drawn = _drawing(_LANE_HIGH, *map(_wall, line["walls"]), *_whisker(lane), *blades, stem, axis)
    return tag("div", drawn, class_="limit small", role="img", aria_label=line["alt"])


def _lane(lane: dict[str, Any], walls: list[dict[str, Any]]) -> Html:
    name = signs.NAMES[lane["state"]]
    head = tag(
        "p", tag("b", lane["text"]), " ", signs.told(lane["state"]),
        tag("span", lane["label"], class_="soft"), class_="lane-head",
    )  # fmt: skip
    stem = _upright(lane["value"], 3, _LANE_HIGH, f"stem {name}")
    blades = [_blade(each, name) for each in lane["blades"]]
    return tag(
        "div", head, _drawing(_LANE_HIGH, *map(_wall, walls), *_whisker(lane), *blades, stem)
    )


def _blade(blade: dict[str, Any], name: str) -> Html:
    kind = "blade inside" if blade["inside"] else "blade"
    width = max(blade["to"] - blade["from"], 0.002)
    return tag(
        "rect", x=_share(blade["from"]), width=_share(width), y=_MIDDLE - 6, height=12,
        class_=f"{kind} {name}",
    )  # fmt: skip


def _wall(wall: dict[str, Any]) -> Html:
    start, end = (wall["at"], 1.0) if wall["side"] == "right" else (0.0, wall["at"])
    beyond = tag(
        "rect", x=_share(start), width=_share(end - start), y=0, height=_LANE_HIGH,
        fill="url(#hatch)",
    )  # fmt: skip
    return joined([beyond, _upright(wall["at"], 0, _LANE_HIGH, "wall")])


def _whisker(lane: dict[str, Any]) -> list[Html]:
    ends = [_upright(lane[end], _MIDDLE - 4, _MIDDLE + 4, "thin") for end in ("low", "high")]
    reach = tag(
        "line", x1=_share(lane["low"]), x2=_share(lane["high"]), y1=_MIDDLE, y2=_MIDDLE,
        class_="thin",
    )  # fmt: skip
    return [reach, *ends]


def _upright(at: float, top: float, foot: float, kind: str) -> Html:
    return tag("line", x1=_share(at), x2=_share(at), y1=top, y2=foot, class_=kind)


def _scale(ticks: list[dict[str, Any]], walls: list[dict[str, Any]], unit: str = "") -> Html:
    """Return the axis with its figures, and below it each limit in words."""
    parts = [tag("line", x1="0%", x2="100%", y1=1, y2=1, class_="axis")]
    parts += [_upright(tick["at"], 1, 6, "axis") for tick in ticks]
    for tick, kind in zip(ticks, _shown(ticks), strict=True):
        if kind is not None:
            anchor = _anchor(tick["at"], _NEAR_END)
            text = tick["text"]
            parts.append(
                tag("text", text, x=_share(tick["at"]), y=20, text_anchor=anchor, class_=kind)
            )
    lines = [(wall["at"], wall["text"]) for wall in walls]
    for number, (at, text) in enumerate(lines):
        down = _WORDS_AT + number * _WORDS_LINE
        anchor = _anchor(at, _THIRD)
        parts.append(
            tag("text", text, x=_share(at), y=down, text_anchor=anchor, class_="limit-words")
        )
    if unit:
        parts.append(tag("text", unit, x="100%", y=_WORDS_AT, text_anchor="end", class_="tick"))
    high = _SCALE_HIGH + _WORDS_LINE * (len(lines) or bool(unit))
    return _drawing(high, *parts)


def _shown(ticks: list[dict[str, Any]]) -> list[str | None]:
    """Return for each tick the class of its figure: some have room on a wide screen only."""
    if not ticks:
        return []
    widest = max(len(tick["text"]) for tick in ticks) * _LETTER_PX + _APART_PX
    if any(_anchor(tick["at"], _NEAR_END) != "middle" for tick in ticks):
        widest *= 1.5  # one that begins or ends at its tick comes nearer to its neighbour
    step = ticks[1]["at"] - ticks[0]["at"] if len(ticks) > 1 else 1.0
    every, seldom = (
        max(1, -int(-widest // (step * width_px))) for width_px in (_WIDE_PX, _NARROW_PX)
    )
    # Those of the narrow screen are among those of the wide one.
    seldom = -(-seldom // every) * every
    return [
        "tick" if n % seldom == 0 else "tick wide" if n % every == 0 else None
        for n in range(len(ticks))
    ]


def _anchor(at: float, end: float) -> str:
    return "start" if at < end else "end" if at > 1 - end else "middle"


def agreement(strip: dict[str, Any]) -> Html:
    """Return two routes to one number on one scale, with the stretch that both allow."""
    rows = []
    for row in strip["rows"]:
        head = tag("p", tag("b", row["text"]), " ", tag("span", row["label"], class_="soft"),
                   class_="lane-head")  # fmt: skip
        stem = _upright(row["value"], _MIDDLE - 9, _MIDDLE + 9, "wall")
        rows.append(
            tag("div", head, _drawing(_LANE_HIGH, *_band(strip["band"]), *_whisker(row), stem))
        )
    return tag(
        "figure", *rows, _scale(strip["ticks"], [], strip["unit"]), class_="limit", role="img",
        aria_label=strip["alt"],
    )  # fmt: skip


def _band(band: list[float]) -> list[Html]:
    if not band:
        return []
    start, end = band
    return [
        tag("rect", x=_share(start), width=_share(end - start), y=0, height=_LANE_HIGH,
            class_="band")
    ]  # fmt: skip


def share_bar(share: float, most: float) -> Html:
    """Return a bar as long as its share of the largest."""
    filled = tag("rect", x=0, y=2, height=6, width=_share(share / most if most else 0.0))
    return tag("svg", filled, width="100%", height=10, class_="share", aria_hidden="true")


def _drawing(high: int, *parts: Html) -> Html:
    return tag("svg", *parts, width="100%", height=high, aria_hidden="true", focusable="false")


def _share(part: float) -> str:
    return f"{100 * part:.3f}".rstrip("0").rstrip(".") + "%"
