"""The locations of the round: photos, what was done, and check by check what was found."""

from typing import Any

from store.report.page import drawings
from store.report.page.markup import Child, Html, joined, tag
from store.report.page.photos import Album
from store.report.page.pieces import Setting, bits, folded, notes, row, table

DONE_HERE = "What came out, went in and was worked on."
_LESS: tuple[dict[str, Any], ...] = ({"bold": "suspect"}, {"slip": "waived"})
_BUDGET = "Uncertainty, in points of coverage, largest first"


def anchors(places: list[dict[str, Any]]) -> dict[str, str]:
    """Return the anchor of each location by its code: by number, for a code may hold anything."""
    found: dict[str, str] = {}
    for number, place in enumerate(places, start=1):
        found.setdefault(place["code"], f"location-{number}")
    return found


def contents(data: dict[str, Any], later: list[tuple[str, str]], setting: Setting) -> Html:
    """Return the list of everything below: each location with its signs, then the registers."""
    listed = []
    for number, place in enumerate(data["places"], start=1):
        # By its number: two locations may bear one code.
        link = tag("a", tag("b", place["code"]), " ", place["name"], href=f"#location-{number}")
        states = joined(_standing(place, setting), " ")
        listed.append(tag("li", link, " ", tag("span", states, class_="states")))
    rest = [tag("li", tag("a", name, href=f"#{at}")) for at, name in later]
    return tag(
        "nav", tag("h2", "In this report"), tag("ol", *listed, class_="contents"),
        tag("ul", *rest, class_="contents"), id="contents", aria_label="In this report",
    )  # fmt: skip


def _standing(place: dict[str, Any], setting: Setting) -> list[Html]:
    """Return a location's signs, and beside them what makes one of them less than it looks."""
    states = [bit for bit in place["lead"] if isinstance(bit, dict) and "state" in bit]
    said = [bit for lead in _leads(place) for bit in lead if bit in _LESS]
    return [bits([each], setting) for each in (*states, *(b for b in _LESS if b in said))]


def _leads(place: dict[str, Any]) -> list[Any]:
    return [place["lead"], *(check["lead"] for check in place["checks"])]


def location(place: dict[str, Any], number: int, album: Album) -> Html:
    """Return everything about one location."""
    setting = album.setting
    done = notes(place["history"], setting) if place["history"] else None
    code = tag("span", place["code"], class_="code")
    opening = tag(
        "header", tag("h2", code, " ", place["name"]), tag("p", bits(place["lead"], setting)),
        class_="opening",
    )  # fmt: skip
    back = tag("a", "Back to the list", href="#contents", class_="back")
    return tag(
        "section", opening, album.row(place),
        row("Done here", DONE_HERE, done) if done else None,
        *(_check(each, place, setting) for each in place["checks"]),
        tag("p", back), id=f"location-{number}", class_="location",
    )  # fmt: skip


def _check(check: dict[str, Any], place: dict[str, Any], setting: Setting) -> Html:
    lane = joined([check["question"], check["aside"]], " ")
    where = f"{place['code']}, {check['name']}"
    return row(
        check["name"], lane,
        tag("p", bits(check["lead"], setting), class_="lead") if check["lead"] else None,
        drawings.limit_line(check["line"]) if check["line"] else None,
        drawings.agreement(check["agreement"]) if check["agreement"] else None,
        *(tag("p", bits(each, setting)) for each in check["sentences"]),
        *(_grid(grid, where, setting) for grid in check["grids"]),
        _readings(check, where, setting), notes(check["notes"], setting),
        _expert(check, where, setting),
    )  # fmt: skip


def _grid(grid: dict[str, Any], where: str, setting: Setting) -> Html:
    shown = table(grid["table"], setting, caption=f"{where}: {grid['title']}")
    return joined([tag("h4", grid["title"]), shown, notes(grid["notes"], setting)])


def _readings(check: dict[str, Any], where: str, setting: Setting) -> Child:
    if check["readings"] is None:
        return None
    return table(check["readings"], setting, caption=f"{where}: every attempt")


def _expert(check: dict[str, Any], where: str, setting: Setting) -> Child:
    if check["expert"] is None:
        return None
    found = table(check["expert"], setting, caption=f"{where}: every number found on the way")
    return folded(
        "For the expert", tag("p", bits(check["method"], setting), class_="small"), found,
        _budget(check["budget"], where),
    )  # fmt: skip


def _budget(lines: list[dict[str, Any]], where: str) -> Child:
    if not lines:
        return None
    most = max(line["share"] for line in lines)
    rows = [
        tag("tr", tag("th", line["source"], scope="row"),
            tag("td", drawings.share_bar(line["share"], most)),
            tag("td", line["points"], class_="figure"))
        for line in lines
    ]  # fmt: skip
    heads = [tag("th", "source", scope="col"), tag("td"),
             tag("th", "points", scope="col", class_="figure")]  # fmt: skip
    return tag(
        "table", tag("caption", f"{where}. {_BUDGET}", class_="shown"),
        tag("thead", tag("tr", *heads)), tag("tbody", *rows), class_="budget",
    )  # fmt: skip
