"""benchproof shop: search the books of all jobs, and plot one check over them."""

import argparse
from contextlib import closing
from typing import TYPE_CHECKING, Any

from capture.commands.typed_options import add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from pathlib import Path

    from capture.edge import Edge
    from store.many_jobs.shop_file import ShopFile
    from store.many_jobs.sought import Sought
    from store.shop import Shop
    from store.ways_out.listing import Row

EXAMPLES = """  benchproof shop jobs
  benchproof shop jobs --customer quill --engine pump
  benchproof shop jobs --verdict outside
  benchproof shop jobs --gauge mic-a --each-reading
  benchproof shop jobs --words "weeping plug"
  benchproof shop jobs --check C1.clearance --plot clearance.svg
  benchproof shop jobs old-jobs --json

The first look reads every book; later ones read those that have changed."""
_VERDICTS = ("within", "outside", "too close to call", "not measured", "no limit")


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument(
        "folder", metavar="FOLDER", type=Path, nargs="+", help="where books lie, at any depth"
    )
    which = parser.add_argument_group("which jobs and checks (all that is given must be so)")
    which.add_argument("--customer", metavar="TEXT", default="", help="part of the name")
    which.add_argument("--engine", metavar="TEXT", default="", help="part of its name or number")
    which.add_argument("--job", metavar="NUMBER", default="", help="the number, or a part of it")
    which.add_argument(
        "--check", metavar="CHECK", default="",
        help="as B1.covered, or covered wherever it is asked, or part of the question or place",
    )  # fmt: skip
    which.add_argument(
        "--gauge", metavar="GAUGE", default="",
        help="its name in the job or the number engraved on it, or part of what it is: all that "
        "rests on it",
    )  # fmt: skip
    which.add_argument("--verdict", choices=_VERDICTS, default="", help="where a check stands")
    which.add_argument(
        "--words", metavar="TEXT", default="",
        help="beginnings of words in what was asked, typed and said of a check; in double quotes: "
        "one after the other",
    )  # fmt: skip
    parser.add_argument(
        "--each-reading",
        action="store_true",
        help="every value ever given, and not where it stands",
    )
    parser.add_argument("--plot", metavar="FILE", type=Path, help="draw what is found (SVG)")
    parser.add_argument(
        "--index", metavar="FILE", type=Path,
        help="where the look-up file is (default: in your own cache folder)",
    )  # fmt: skip
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Bring the index up to date, then print the books, or the checks, that are found."""
    from capture.commands.edge import counting, say, say_json, warn  # noqa: PLC0415 - not for --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from store.many_jobs.sought import Sought  # noqa: PLC0415 - the same
    from store.shop import Shop  # noqa: PLC0415 - the same

    sought = _sought(given)
    with closing(Shop(_file(given, edge))) as shop:
        with counting("books") as count:
            shop.refresh(given.folder, count)
        for unseen in shop.unseen:
            warn(f"{unseen}: what lies in it was not looked at")
        books = [book for book in shop.books(sought) if not book["problem"]]
        # Whose book can't be read is not known: it may be what is looked for.
        unread = [book for book in shop.books(Sought()) if book["problem"]]
        found = _found(shop, sought, given)
    if given.plot:
        _draw(given.plot, found or [])
    if given.json:
        say_json(_answer(books, unread, found, given))
    else:
        _say(books, unread, found)
        if given.plot:
            say(f"plot {given.plot}")
    return DONE


def _sought(given: argparse.Namespace) -> "Sought":
    from store.many_jobs.sought import Sought, has_words  # noqa: PLC0415 - not for a mere --help

    missing = [folder for folder in given.folder if not folder.is_dir()]
    if missing:
        raise WrongUse(f"there is no folder {missing[0]}: name one that books lie in")
    if given.words and not has_words(given.words):
        raise WrongUse(f"--words {given.words!r} has no letter and no figure in it: type a word")
    if given.plot and given.each_reading:
        raise WrongUse("--plot draws where checks stand: leave --each-reading out")
    if given.plot:
        from capture.commands.outputs import begins, refuse_to_lose  # noqa: PLC0415 - the same

        if given.plot.suffix.lower() != ".svg":
            raise WrongUse(f"{given.plot}: the plot is an SVG, name it so: {given.plot}.svg")
        refuse_to_lose(given.plot, "an SVG", lambda path: begins(path, b"<svg "))
    return Sought(
        given.customer,
        given.engine,
        given.job,
        given.check,
        given.gauge,
        given.verdict,
        given.words,
    )


def _file(given: argparse.Namespace, edge: "Edge") -> "ShopFile":
    """Return the look-up file; where the cache folder can't be written to, one in memory."""
    from capture.all_jobs import shop_file  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import warn  # noqa: PLC0415 - the same
    from capture.commands.outputs import refuse_to_lose  # noqa: PLC0415 - the same
    from store.many_jobs.shop_file import ShopFile, is_shop_file  # noqa: PLC0415 - the same

    if given.index:
        refuse_to_lose(given.index, "a shop's index", is_shop_file)
        return ShopFile(given.index, version=edge.version)
    file, no_index = shop_file(edge.version)
    if no_index:
        warn(f"every book is read anew, for no index can be kept: {no_index}")
    return file


def _found(shop: "Shop", sought: "Sought", given: argparse.Namespace) -> "list[Row] | None":
    """Return the checks, or the values, that are found; None where only books are asked for."""
    if given.each_reading:
        return shop.readings(sought)
    return shop.checks(sought) if sought.is_of_checks or given.plot else None


def _draw(target: "Path", rows: "list[Row]") -> None:
    from store.files.disk import cannot_write  # noqa: PLC0415 - only to draw
    from store.files.halfmade import replace_file  # noqa: PLC0415 - the same
    from store.many_jobs.over_jobs import plot  # noqa: PLC0415 - the same

    drawing = plot(rows)
    try:
        replace_file(target, drawing.encode())
    except OSError as error:
        raise cannot_write(error, target.name) from error


def _answer(
    books: "list[Row]", unread: "list[Row]", found: "list[Row] | None", given: argparse.Namespace
) -> dict[str, Any]:
    from capture.commands.shop_rows import book_answer, row_answer  # noqa: PLC0415 - --json only

    answer: dict[str, Any] = {"unread": [book_answer(book) for book in unread]}
    if found is None:
        answer["books"] = [book_answer(book) for book in books]
    else:
        name = "readings" if given.each_reading else "checks"
        answer[name] = [row_answer(row) for row in found]
    if given.plot:
        answer["plot"] = str(given.plot)
    return answer


def _say(books: "list[Row]", unread: "list[Row]", found: "list[Row] | None") -> None:
    from capture.commands.edge import say  # noqa: PLC0415 - not for a mere --help
    from capture.commands.shop_rows import book_lines, row_lines  # noqa: PLC0415 - the same

    for line in book_lines(books) if found is None else row_lines(found):
        say(line)
    if found is None and not books:
        say("nothing is found")
    for line in book_lines(unread):
        say(line)
