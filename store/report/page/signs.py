"""The signs, a plug in its bore in section, as symbols that are drawn once and used by name."""

from typing import Any

from store.report.page.markup import Child, Html, joined, tag

NAMES = {
    "within": "within",
    "outside": "outside",
    "too close to call": "close",
    "not measured": "missing",
    "no limit": "free",
    "never fitted": "never",
}
_BORE = "M0 8.5H4.5V18.5H15.5V8.5H20"
_FACE = "M0 8.5H20"


def definitions() -> Html:
    """Return the drawings that everything below refers to by name."""
    symbols = [
        tag("symbol", *_drawn(state), id=f"sign-{name}", viewBox="0 0 20 20")
        for state, name in NAMES.items()
    ]
    hatch = tag(
        "pattern", tag("rect", width=9, height=9, class_="slab"),
        tag("path", d="M-1 1L1 -1M0 9L9 0M8 10L10 8", class_="hatch"),
        id="hatch", width=9, height=9, patternUnits="userSpaceOnUse",
    )  # fmt: skip
    return tag("svg", *symbols, hatch, class_="definitions", width=0, height=0, aria_hidden="true")


def _drawn(state: str) -> list[Html]:
    plug = f"plug {NAMES[state]}"
    match state:
        case "within":
            return [_line(_BORE), tag("rect", x=5.6, y=7.65, width=8.8, height=7, class_=plug)]
        case "outside":
            return [_line(_BORE), tag("rect", x=5.6, y=1.3, width=8.8, height=10.4, class_=plug)]
        case "too close to call":
            cocked = tag(
                "rect", x=5.8, y=6.2, width=8.4, height=6.4, class_=plug,
                transform="rotate(24 10 9.4)",
            )  # fmt: skip
            return [_line(_BORE), cocked]
        case "not measured":
            return [tag("path", d=_BORE, class_="bore", stroke_dasharray="1.7 1.75")]
        case "no limit":
            return [_line(_FACE), tag("rect", x=8.6, y=2.5, width=2.8, height=11, class_=plug)]
    return [_line(_FACE)]


def _line(path: str) -> Html:
    return tag("path", d=path, class_="bore")


def sign(state: str, *, suspect: bool = False) -> Html:
    """Return a sign alone; one that rests on a suspect gauge is cut off below."""
    used = tag("use", href=f"#sign-{NAMES[state]}", width=20, height=20)
    if suspect:
        used = tag("svg", used, width=20, height=13.3, viewBox="0 0 20 13.3")
    return tag("svg", used, class_="sign", viewBox="0 0 20 20", aria_hidden="true")


def told(state: str, *, suspect: bool = False, count: Child = None) -> Html:
    """Return a sign with its word beside it."""
    word = tag("span", state, class_=f"word {NAMES[state]}")
    return tag("span", count, sign(state, suspect=suspect), word, class_="told")


def string(parts: list[dict[str, Any]]) -> Html:
    """Return the signs of the whole round in walking order, with the hold points' bars."""
    drawn: list[Child] = []
    for part in parts:
        if "state" not in part:
            bar = "bar closed" if part["closed"] else "bar"
            drawn.append(tag("span", tag("span", class_=bar), part["name"], class_="hold-bar"))
            continue
        drawn.append(sign(part["state"], suspect=part["suspect"]))
        drawn.append(" " if part["last"] else None)
    heard = ", ".join(part.get("state") or part["name"] for part in parts)
    return tag("p", joined(drawn), class_="string", role="img", aria_label=f"In order: {heard}.")
