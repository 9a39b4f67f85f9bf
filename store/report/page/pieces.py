"""Finished pieces of the report's data -> markup: sentences, notes, tables."""

import re
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from store.report.page import drawings, signs
from store.report.page.copies import Copy
from store.report.page.markup import Child, Html, joined, tag

_FITS_LETTERS = 44  # of a table on a telephone; a wider one is set row by row
_GAP_LETTERS = 2
_COUNT = re.compile(r"\d+ $")
_ELEMENTS = {"mono": "code", "bold": "b", "soft": "span", "slip": "span", "tight": "span"}


class Setting(Struct, frozen=True):
    """What a page refers to: the location codes' anchors, the copies of the photos by file."""

    anchors: dict[str, str]
    copies: dict[str, Copy]


def bits(pieces: str | Sequence[str | dict[str, Any]], setting: Setting) -> Html:
    """Return pieces of a sentence in order (store/report/words.py lists the kinds)."""
    if isinstance(pieces, str):
        return joined([pieces])
    shown: list[Child] = []
    for n, each in enumerate(pieces):
        after = pieces[n + 1] if n + 1 < len(pieces) else ""
        before = pieces[n - 1] if n else ""
        if isinstance(each, str):
            shown.append(_COUNT.sub("", each) if _is_sign(after) else each)
        elif _is_sign(each):
            shown.append(_sign(each, _COUNT.search(before) if isinstance(before, str) else None))
        else:
            shown.append(_bit(each, setting))
    return joined(shown)


def _is_sign(piece: str | dict[str, Any]) -> bool:
    return isinstance(piece, dict) and "state" in piece


def _sign(piece: dict[str, Any], count: "re.Match[str] | None") -> Html:
    """Return a sign with its word, and with the count before it on the same line."""
    number = count[0] if count else None
    return signs.told(piece["state"], suspect=piece.get("suspect", False), count=number)


def _bit(piece: dict[str, Any], setting: Setting) -> Child:
    ((kind, text),) = piece.items()
    match kind:
        case "struck":
            return tag("s", tag("span", "struck: ", class_="heard"), text)
        case "ring":
            return tag("span", text, tag("span", " (decides)", class_="heard"), class_="ring")
        case "page":
            at = setting.anchors.get(text)
            return tag("a", f"see {text}", href=f"#{at}") if at else None
        case "break":
            return tag("br")
        case "line":
            return drawings.small_line(text)
    # One that the page does not know is a KeyError: nothing is left out in silence.
    name = _ELEMENTS[kind]
    return tag(name, text, class_=kind if name == "span" else None)


def notes(given: Sequence[Any], setting: Setting) -> Html:
    """Return notes, a paragraph each."""
    return joined([tag("p", bits(each, setting), class_="note") for each in given])


def row(name: str, lane: Child, *evidence: Child, level: int = 3, at: str = "") -> Html:
    """Return a row of the report: its name and plain words in one lane, the evidence beside it."""
    plain = tag("p", lane, class_="plain") if lane else None
    head = tag("div", tag(f"h{level}", name), plain, class_="lane")
    return tag(
        "section", head, tag("div", *evidence, class_="evidence"), class_="row", id=at or None
    )


def folded(name: str, *inside: Child) -> Html:
    """Return what only some will read, folded away under its name."""
    return tag("details", tag("summary", name), *inside)


def table(data: dict[str, Any], setting: Setting, *, caption: str) -> Html:
    """Return a table; one that is too wide for a telephone is set row by row there.

    The roles are spelt out, for a table that is set as blocks loses its own.
    """
    heads, right = data["heads"], data.get("right", ())
    columns = [
        tag("th", head, scope="col", role="columnheader", class_="figure" if n in right else None)
        if head
        else tag("td", role="cell")
        for n, head in enumerate(heads)
    ]
    top = tag("thead", tag("tr", *columns, role="row"), role="rowgroup")
    rows = [_row(each, heads, right, setting) for each in data["rows"]]
    return tag(
        "table", tag("caption", caption), top, tag("tbody", *rows, role="rowgroup"),
        role="table", class_=None if _fits(data) else "stacked",
    )  # fmt: skip


def _row(cells: Any, heads: list[str], right: Sequence[int], setting: Setting) -> Html:  # noqa: ANN401 - JSON
    if isinstance(cells, dict):
        # What began the attempt below it runs through all columns.
        began = tag("td", bits(cells["span"], setting), colspan=len(heads), role="cell")
        return tag("tr", began, role="row", class_="span")
    shown = [
        tag(
            "th" if n == 0 else "td",
            tag("div", bits(cell, setting)),
            scope="row" if n == 0 else None,
            role="rowheader" if n == 0 else "cell",
            data_head=head or None,
            # An empty cell is a box in a grid, and in a list a line about nothing.
            class_=" ".join(["figure"] * (n in right) + ["none"] * (not cell)) or None,
        )
        for n, (head, cell) in enumerate(zip(heads, cells, strict=True))
    ]
    return tag("tr", *shown, role="row")


def _fits(data: dict[str, Any]) -> bool:
    rows = [each for each in data["rows"] if not isinstance(each, dict)]
    longest = [
        max(len(plain(line[n])) for line in [data["heads"], *rows])
        for n in range(len(data["heads"]))
    ]
    return sum(letters + _GAP_LETTERS for letters in longest) <= _FITS_LETTERS


def plain(pieces: Any) -> str:  # noqa: ANN401 - JSON
    """Return the text of some pieces, as a reader reads it."""
    if isinstance(pieces, str):
        return pieces
    if isinstance(pieces, dict):
        return " ".join(value for value in pieces.values() if isinstance(value, str))
    return "".join(plain(each) for each in pieces)
