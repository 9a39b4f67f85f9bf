"""Book -> the data of the report, and the report itself.

The data are plain JSON: finished texts and fractions. The template sets them and adds nothing;
no text of a person's is ever read as markup.
"""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal

from store.errors import CannotRead, CannotWrite
from store.files.disk import make_folder
from store.files.halfmade import Scratch, replace_file
from store.finding import Finding, unread
from store.report import blockmap, cover, holdpoints, places, prints, proof, registers
from store.report.budgets import appendix
from store.report.figures import count, day
from store.report.lettering import settable
from store.report.openings import subject
from store.report.prints import Print
from store.report.proof import Seal
from store.report.signer import Signer
from store.report.trail import Trail
from store.report.typeset import typeset
from store.report.view import BookView
from store.round import Round
from store.verify import check_kept

Paper = Literal["a4", "letter"]
_AS_IS = {"file", "overlay", "commands"}  # names of files and what is to be typed into a terminal
_START = 16
_PREVIEW_PPI = 110  # an A4 page 909 pixels wide: readable, and a second for fifty of them
_JOB_LETTERS, _HEAD_LETTERS = 22, 84  # page 1 has them whole


def write_report(
    book: BookView,
    out_pdf: Path,
    *,
    at: str,
    version: str,
    paper: Paper = "a4",
    budgets: bool = False,
    signer: Signer | None = None,
    found: list[Finding] | None = None,
    progress: Callable[[int, int, str], None] | None = None,
    previews: Path | None = None,
    stop: Callable[[], bool] | None = None,
) -> Path:
    """Write the customer's report of a book as a tagged PDF and return its path.

    ``at`` is the time of the report (ISO 8601): the same book, time, version and paper give the
    same bytes. ``budgets`` adds an appendix with the uncertainty budget of each judged value.
    ``signer`` signs it, and its last page prints the fingerprints; without one it is not signed.
    ``found`` is as for ``report_data``.
    ``progress`` is told (steps done, steps, words). The file appears whole or not at all.
    ``previews`` is a folder that gets the pages as pictures too (PNG, by name in their order).
    ``stop`` is asked several times a second and ends it. Raises ReportFailed if the pages cannot
    be set, ReportStopped, CannotWrite if they cannot be kept.
    """
    data, made_prints = report_data(
        book, at=at, version=version, paper=paper, budgets=budgets, signer=signer, found=found
    )
    with Scratch("report") as folder:
        for made in made_prints:
            if made.overlay:
                (folder / made.data["overlay"]).write_text(made.overlay, "utf-8")
        wanted = tuple(made.wanted for made in made_prints)
        pdf = typeset(
            folder, data, wanted, at=at, progress=progress, stop=stop,
            preview_ppi=_PREVIEW_PPI if previews else 0,
        )  # fmt: skip
        if previews is not None:
            for page in sorted(folder.glob("page-*.png")):
                shutil.move(page, previews / page.name)
        content = pdf.read_bytes()
        return keep_report(signer.sign(content, at) if signer else content, out_pdf)


def keep_report(report: bytes, out: Path) -> Path:
    """Write a finished report, whole or not at all, and return its path; raises CannotWrite."""
    try:
        make_folder(out.parent)
        replace_file(out, report)
    except OSError as error:
        raise CannotWrite(
            f"The report could not be written to {out}: {error.strerror}. Choose another "
            "folder, or close the program that has the old report open."
        ) from error
    return out


def report_data(
    book: BookView,
    *,
    at: str,
    version: str,
    paper: Paper = "a4",
    budgets: bool = False,
    signer: Signer | None = None,
    found: list[Finding] | None = None,
) -> tuple[dict[str, Any], list[Print]]:
    """Return everything the pages say, and the pictures they show.

    ``found`` is what is wrong with the book; it is looked for here if it is None.
    """
    known, entries = book.round(), book.entries()
    trail = Trail(book.told, known)
    sealed = proof.seals(entries)
    found = _found_in(book) if found is None else found
    on_cover = prints.cover_print(book, known)
    maps = blockmap.maps(book, known)
    pages = [places.place_pages(book, place, known, trail) for place in known.places]
    stops, seals = holdpoints.holds(known, book)
    made = [*(each for _, of_place in pages for each in of_place), *seals]
    made += [each for _, each in maps]
    made += [on_cover] if on_cover else []
    checking = proof.checking(known, sealed, version, sound=not found, signer=signer)
    data = {
        "paper": paper,
        "title": f"Evidence report, job {known.job.number}, {known.job.engine}",
        "author": known.job.shop,
        "description": "What was checked, and what was not.",
        "head": _head(known, found),
        "foot": _foot(sealed, at, found),
        "alarm": proof.alarm(found),
        "cover": cover.cover(known, on_cover, trail, at=at),
        "maps": [data for data, _ in maps],
        "places": [data for data, _ in pages],
        "holds": stops,
        "registers": registers.registers(known, entries, trail),
        "budgets": appendix(known, trail) if budgets else None,
        "checking": checking,
    }
    lettered: dict[str, Any] = _lettered(data)
    # Digits to be compared or copied one by one: nothing may be put in where a line may end.
    for row, as_is in zip(lettered["checking"]["hashes"], checking["hashes"], strict=True):
        row[1] = as_is[1]
    return lettered, made


def _found_in(book: BookView) -> list[Finding]:
    """Return what is wrong with a book; raises CannotRead where that can't be told now.

    An alarm that is gone the next time must not be printed and signed.
    """
    found = check_kept(book.root)
    if not_read := unread(found):
        raise CannotRead(f"no report was made: {not_read[0].where}: {not_read[0].detail}.")
    return found


def _head(known: Round, found: list[Finding]) -> dict[str, str]:
    return {
        "job": _short(f"Job {known.job.number}", _JOB_LETTERS),
        "middle": _short(f"Evidence report · {subject(known)}", _HEAD_LETTERS),
        "state": "does not verify: do not rely on it" if found else _holds_said(known),
    }


def _holds_said(known: Round) -> str:
    held = sum(hold.closed is None for hold in known.holds)
    still_open = f", {held} open" if held else ""
    if any(hold.closed and hold.unproven for hold in known.holds):
        return f"closed over something unproven since{still_open}"
    if any(hold.unsealed for hold in known.holds):
        return f"closed, not sealed{still_open}"
    if not held:
        return "all hold points closed" if known.holds else "no hold points"
    return f"{count(held, 'hold point')} open"


def _short(text: str, letters: int) -> str:
    return text if len(text) <= letters else f"{text[: letters - 1]}\u2026"


def _foot(sealed: tuple[Seal, ...], at: str, found: list[Finding]) -> dict[str, str]:
    if found:
        return {"seal": "No seal: this book does not verify", "root": "", "date": day(at)}
    main = sealed[0]
    others = (
        "" if len(sealed) == 1 else f" and {count(len(sealed) - 1, 'more bench', 'more benches')}"
    )
    return {
        "seal": f"Sealed at entry {main.entries} of {main.bench}{others}",
        "root": proof.grouped(main.root[:_START]),
        "date": day(at),
    }


def _lettered(value: Any, name: str = "") -> Any:  # noqa: ANN401 - JSON is any of its forms
    """Return JSON data with every text made settable."""
    if name in _AS_IS:
        return value
    if isinstance(value, dict):
        return {key: _lettered(inner, key) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_lettered(inner) for inner in value]
    return settable(value) if isinstance(value, str) else value
