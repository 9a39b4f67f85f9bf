"""Book -> one web page with everything the printed report says, from the very same data.

It runs nothing and fetches nothing: its content policy lets it show the pictures that lie in it and
the one style in it, by its hash, and nothing else.
"""

import base64
import hashlib
from pathlib import Path
from typing import Any

from store.files.halfmade import Scratch
from store.finding import Finding
from store.report.document import keep_report, report_data
from store.report.page import cover, locations, photos, registers, signs
from store.report.page.copies import MOST_EACH, MOST_TOGETHER, Copy, copies
from store.report.page.markup import Html, joined, tag
from store.report.page.pieces import Setting
from store.report.prints import Print
from store.report.signer import Signer
from store.report.typeset import Progress, Stop
from store.report.view import BookView


def write_page(
    book: BookView,
    out: Path,
    *,
    at: str,
    version: str,
    budgets: bool = False,
    signer: Signer | None = None,
    found: list[Finding] | None = None,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Path:
    """Write the customer's report of a book as one self-contained HTML page; return its path.

    ``at`` is the time of the report (ISO 8601): the same book, time and version give the same
    bytes. ``budgets`` adds the uncertainty budget of each judged value, ``signer`` the fingerprints
    of the shop's keys; a page is not signed itself. ``found`` is as for ``report_data``.
    ``progress`` is told (steps done, steps, words), ``stop`` is asked several times a second and
    ends it. The file appears whole or not at all. Raises ReportFailed, ReportStopped, CannotWrite.
    """
    data, prints = report_data(
        book, at=at, version=version, budgets=budgets, signer=signer, found=found
    )
    wanted = tuple((made.wanted, photos.width_px(made.wanted.width_pt)) for made in prints)
    with Scratch("page") as scratch:
        made = copies(scratch, wanted, progress=progress, stop=stop)
    if progress is not None:
        progress(len(wanted) + 1, len(wanted) + 1, "done")
    return keep_report(page(data, prints, made).encode("utf-8"), out)


def page(data: dict[str, Any], prints: list[Print], made: dict[str, Copy]) -> Html:
    """Return the page: ``data`` and ``prints`` as ``report_data`` gives them, and the copies."""
    setting = Setting(locations.anchors(data["places"]), made)
    album = photos.Album(setting, photos.overlays(prints))
    style = Path(__file__).with_name("page.css").read_text("utf-8")
    body = tag(
        "body", signs.definitions(), _head(data),
        tag("main", *_main(data, album)), _foot(data),
    )  # fmt: skip
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy(style)),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="referrer", content="no-referrer"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("meta", name="description", content=data["description"]),
        tag("title", data["title"]),
        tag("style", Html(style)),
    )
    return Html(f"<!doctype html>\n{tag('html', head, body, lang='en')}\n")


def policy(style: str) -> str:
    """Return the content policy of a page with this style and no script (CSP level 2)."""
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    return (
        f"default-src 'none'; img-src data:; style-src 'sha256-{digest}'; base-uri 'none'; "
        "form-action 'none'"
    )


def _main(data: dict[str, Any], album: photos.Album) -> list[Html]:
    setting = album.setting
    parts = [(f"map-{n}", "Block map", album.block_map(each, f"map-{n}"))
             for n, each in enumerate(data["maps"], start=1)]  # fmt: skip
    places = [locations.location(each, n, album) for n, each in enumerate(data["places"], start=1)]
    after = []
    if data["holds"]["list"]:
        after.append(("holds", "Hold points", registers.holds(data["holds"], album, "holds")))
    for number, each in enumerate(data["registers"], start=1):
        at = f"register-{number}"
        after.append((at, each["title"], registers.register(each, at, setting)))
    if data["budgets"]:
        shown = registers.budgets(data["budgets"], "budgets", setting)
        after.append(("budgets", data["budgets"]["title"], shown))
    bounds = (MOST_EACH, MOST_TOGETHER)
    last = registers.checking(data["checking"], bounds, "checking", setting)
    after.append(("checking", "How to check this yourself", last))
    later = [(at, name) for at, name, _ in (*parts, *after)]
    return [
        cover.cover(data, album), locations.contents(data, later, setting),
        *(shown for _, _, shown in parts), *places, *(shown for _, _, shown in after),
    ]  # fmt: skip


def _head(data: dict[str, Any]) -> Html:
    return tag("p", tag("span", data["head"]["middle"]), _seal(data), class_="running")


def _foot(data: dict[str, Any]) -> Html:
    return tag("footer", tag("p", _seal(data), " · ", data["foot"]["date"]))


def _seal(data: dict[str, Any]) -> Html:
    foot = data["foot"]
    root = joined([", root ", tag("code", foot["root"])]) if foot["root"] else None
    return tag("span", foot["seal"], root)
