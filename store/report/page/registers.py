"""What follows the locations: hold points, registers, budgets, and how to check it all."""

from typing import Any

from store.report.page import drawings
from store.report.page.markup import Html, joined, tag
from store.report.page.photos import Album
from store.report.page.pieces import Setting, bits, folded, notes, row, table

CLOSED = (
    "A closed bar says what was known when the part went on. It does not say nothing changed since."
)
IF_DIFFERENT = "If one letter or digit differs, the file is not the one that was handed over."
SHOWS = "And what it does not."
WORDS = "As they are used in this report."
_ON_PAPER, _HERE = "as page 1 says", "as is said at the top"
# A page has no pages: what the printed report says of its feet and its fonts is said of a page.
WHOLE = (
    "Head and foot of this page carry the entry it was sealed at and the first 16 digits of the "
    "root. Compare them with a copy that reached you another way. Anybody can change a page like "
    "this one, as any paper: what proves it is the book or the pack, checked as told here."
)
MADE = (
    "One page that needs no network and runs no program. The signs differ in shape, not only in "
    "colour, and each has its word. Photos are smaller here than they are kept, and saved again "
    "as JPEG: no more than {each} kB each, {together} MB together. A character outside those of "
    "the printed report is shown as its Unicode number; the book keeps every text as it was typed."
)


def holds(data: dict[str, Any], album: Album, at: str) -> Html:
    """Return the hold points: what each hides, who closed it, what was refused and waived."""
    meaning = row("What \u201cclosed\u201d means", CLOSED, tag("p", data["meaning"]))
    shown = [_hold(each, album) for each in data["list"]]
    return _section("Hold points", data["lead"], [*shown, meaning], at, album.setting)


def _hold(hold: dict[str, Any], album: Album) -> Html:
    setting = album.setting
    kind = "cover closed" if hold["closed"] else "cover"
    standing = tag("p", tag("b", hold["standing"]), " ", tag("span", hold["when"], class_="soft"))
    caption = f"{hold['name']}: what it hides"
    hidden = table(hold["table"], setting, caption=caption) if hold["table"]["rows"] else None
    inside = row(
        hold["name"], hold["lane"], standing, hidden, notes(hold["notes"], setting),
        album.small(hold["photos"]),
    )  # fmt: skip
    return joined([tag("div", class_=kind, role="presentation"), inside])


def register(data: dict[str, Any], at: str, setting: Setting) -> Html:
    """Return one section of registers, each with its table."""
    rows = []
    for each in data["list"]:
        shown = table(each["table"], setting, caption=each["name"]) if each["table"] else None
        rows.append(row(each["name"], each["lane"], shown, notes(each["notes"], setting)))
    return _section(data["title"], data["lead"], rows, at, setting)


def budgets(data: dict[str, Any], at: str, setting: Setting) -> Html:
    """Return the uncertainty of every judged value, source by source, folded away each."""
    shown = [_budget(each, setting) for each in data["list"] if each]
    return _section(data["title"], data["lead"], shown, at, setting)


def _budget(data: dict[str, Any], setting: Setting) -> Html:
    most = max((each["share"] for each in data["rows"]), default=0.0)
    rows = [
        [each["source"], drawings.share_bar(each["share"], most), each["shape"], each["u"],
         each["dof"]]
        for each in data["rows"]
    ]  # fmt: skip
    named = ["source", "", "shape", "u", "degrees of freedom"]
    sources = {"heads": named, "rows": rows, "right": (4,)}
    caption = f"{data['name']}: sources of uncertainty"
    shown = table(sources, setting, caption=caption) if rows else None
    head = f"{data['name']}: {data['head']}"
    return folded(head, tag("p", data["question"]), shown, tag("p", data["note"]))


def checking(data: dict[str, Any], most_bytes: tuple[int, int], at: str, setting: Setting) -> Html:
    """Return how a stranger checks it, the hashes, and what all that shows and does not."""
    first, *others = data["steps"]
    # A signature in the PDF says nothing of this page.
    mine = [step for step in others if not step.get("of_pdf")]
    steps = [_step({**first, "text": WHOLE}), *map(_step, mine)]
    hashes = [tag("tr", tag("th", what, scope="row"), tag("td", tag("code", digest)))
              for what, digest in data["hashes"]]  # fmt: skip
    heads = tag("tr", tag("th", "what", scope="col"), tag("th", "SHA-256", scope="col"))
    listed = tag("table", tag("caption", "Hashes to compare with"), tag("thead", heads),
                 tag("tbody", *hashes), class_="hashes")  # fmt: skip
    words: list[Html] = []
    for word, meaning in data["words"]:
        words += [tag("dt", word), tag("dd", meaning)]
    shows = [each.replace(_ON_PAPER, _HERE) for each in data["shows"]]
    by = data["made"].partition(";")[0]
    each, together = most_bytes
    made = MADE.format(each=each // 1000, together=together // 1_000_000)
    rows = [
        row("The checks", data["lane"], tag("ol", *steps, class_="steps")),
        row("Compare with", IF_DIFFERENT, folded("All hashes", listed),
            notes(data["hash-notes"], setting)),
        row("What it shows", SHOWS, *(tag("p", each) for each in shows)),
        row("Words", WORDS, tag("dl", *words, class_="words")),
        row("Made how", None, tag("p", f"{by}. {made}", class_="small")),
    ]  # fmt: skip
    return _section("How to check this yourself", data["lead"], rows, at, setting)


def _step(step: dict[str, Any]) -> Html:
    commands = [tag("pre", tag("code", each)) for each in step["commands"]]
    return tag("li", tag("p", tag("b", step["title"]), " ", step["text"]), *commands)


def _section(
    title: str, lead: str | list[Any], inside: list[Html], at: str, setting: Setting
) -> Html:
    head = tag("header", tag("h2", title), tag("p", bits(lead, setting)), class_="opening")
    return tag("section", head, *inside, id=at, class_="register")
