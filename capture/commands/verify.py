"""benchproof verify: check that a book, a pack or a report was not altered, and measure again."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_json

if TYPE_CHECKING:
    from pathlib import Path

    from capture.edge import Edge
    from store.finding import Finding

EXAMPLES = """  benchproof verify job-12
  benchproof verify job-12-pack.zip
  benchproof verify job-12-report.pdf
  benchproof verify job-12 --json

Ends with 0 where all is sound; else with 7 (altered), 3 (something could not be read now: verify
it again) or 9 (something comes out otherwise than under the version that made it: verify it with
that one)."""

_SOUND = {
    "book": "every entry and photo is as it was written, every number came out again",
    "pack": "every entry and photo is as it was written, every number came out again",
    "report": "to the last byte what that certificate signed; only a pack has the lines behind it",
}


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument(
        "book",
        metavar="BOOK|PACK|PDF",
        type=Path,
        help="a book's folder, a pack (its zip or folder), or a report (its PDF)",
    )
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Say every finding; whatever is not sound ends with an exit code of its kind."""
    from capture.commands import exits  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import counting, say, say_json  # noqa: PLC0415 - the same
    from capture.verifying import verify_book, verify_pack, verify_report  # noqa: PLC0415 - the same

    kind = _kind(given.book)
    with counting("verifying") as count:
        if kind == "report":
            findings = verify_report(given.book)
        else:
            check = verify_pack if kind == "pack" else verify_book
            findings = check(given.book, version=edge.version, progress=count)
    code = _code_of(findings)
    if given.json:
        say_json(
            {
                "sound": code == exits.DONE,
                "findings": [
                    {
                        "severity": finding.severity,
                        "code": finding.code,
                        "where": finding.where,
                        "detail": finding.detail,
                    }
                    for finding in findings
                ],
            }
        )
        return code
    for finding in findings:
        # On one line: a stranger's text must not be able to say "sound" on one of its own.
        say(" ".join(f"{finding.severity}: {finding.where}: {finding.detail}".split()))
    say(_sum_of(findings, kind))
    return code


def _code_of(findings: "list[Finding]") -> int:
    from capture.commands import exits  # noqa: PLC0415 - not for a mere --help
    from store.finding import against, unread  # noqa: PLC0415 - the same

    if against(findings):
        return exits.ALTERED
    if unread(findings):
        return exits.NOT_READ
    if any(finding.severity == "differs" for finding in findings):
        return exits.OTHERWISE
    return exits.DONE


def _sum_of(findings: "list[Finding]", kind: str) -> str:
    """Return the sentence that the answer ends with."""
    from store.finding import against, unread  # noqa: PLC0415 - not for a mere --help

    otherwise = sum(finding.severity == "differs" for finding in findings)
    if wrong := len(against(findings)):
        return f"{wrong} finding{'' if wrong == 1 else 's'}: this {kind} is not what was written"
    if out_of_reach := len(unread(findings)):
        many = "1 thing" if out_of_reach == 1 else f"{out_of_reach} things"
        return f"{many} could not be read now, and nothing speaks against the rest: verify it again"
    if otherwise:
        many = "1 thing comes" if otherwise == 1 else f"{otherwise} things come"
        return (
            f"{many} out otherwise than under the version that made this: not shown to be altered, "
            "and not shown to be right; the rest is as it was written. Verify it with that version"
        )
    if any(finding.code == "lines-left-out" for finding in findings):
        return "sound as far as the lines in it go: nothing that is here was altered"
    return f"sound: {_SOUND[kind]}"


def _kind(path: "Path") -> str:
    """Return what a file or folder is to be checked as: book, pack or report."""
    from store.pack.staging import is_pack  # noqa: PLC0415 - not for a mere --help

    if path.is_file():
        _refuse_a_page(path)
        with path.open("rb") as file:
            return "report" if file.read(5) == b"%PDF-" else "pack"
    if is_pack(path):
        return "pack"
    _refuse_what_never_was_a_book(path)
    return "book"


def _refuse_a_page(path: "Path") -> None:
    """Raise NotABook for a report as a page, which says nothing that could be verified."""
    from store.errors import NotABook  # noqa: PLC0415 - not for a mere --help

    if path.suffix.lower() in {".html", ".htm"}:
        raise NotABook(
            f"{path}: a report as a page is not signed: verify the book, its pack or the PDF"
        )


def _refuse_what_never_was_a_book(root: "Path") -> None:
    """Raise NotABook for a folder without a trace of one; a trace is for verify to judge."""
    from store.errors import NotABook  # noqa: PLC0415 - not for a mere --help
    from store.files.notice import FORMAT_NAME  # noqa: PLC0415 - the same
    from store.ledger import FILE_NAME  # noqa: PLC0415 - the same

    if not root.exists():
        raise NotABook(f"there is no {root}: name a book's folder, a pack or a report's PDF")
    if not any((root / name).exists() for name in (FORMAT_NAME, FILE_NAME, "heads.txt", "photos")):
        raise NotABook(f"{root} is not a book: name the folder that 'benchproof start' made")
