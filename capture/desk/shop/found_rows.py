"""What was found in the books of many jobs, as rows. No Qt in here."""

from pathlib import Path
from typing import NamedTuple

from capture.all_jobs import Looked
from capture.desk.look.row import Row
from capture.words.jobs import job_text, tally_text, value_text
from capture.words.quantities import count_text
from store.attempt import Standing
from store.report.figures import date_said
from store.ways_out.listing import Row as Listed

MOST = 1000  # rows: nobody reads more, and a list of all checks of a shop would hold the window up
_STATES: dict[str, Standing] = {
    "within": "within", "outside": "outside", "too close to call": "too close to call",
    "not measured": "not measured", "no limit": "no limit",
}  # fmt: skip


class Place(NamedTuple):
    """Where a row leads: a book, and a check of it where there is one."""

    root: Path
    key: str = ""


def found_rows(looked: Looked) -> dict[str, tuple[Row, Place]]:
    """Return rows by their keys, with where each leads: checks under their jobs, else jobs."""
    rows: dict[str, tuple[Row, Place]] = {}
    if looked.checks is None:
        for book in looked.books[:MOST]:
            rows[str(book["path"])] = _book(book), Place(Path(str(book["path"])))
    else:
        for check in looked.checks[:MOST]:
            path = str(check["path"])
            if path not in rows:
                head = Row(path, job_text(check), right=_last(check), bold=True)
                rows[path] = head, Place(Path(path))
            key = f"{path}\n{check['key']}"
            rows[key] = _check(check), Place(Path(path), str(check["key"]))
    for book in looked.unread:
        path = str(book["path"])
        job = job_text(book) if book["job"] else Path(path).name
        rows[path] = Row(path, job, f"not read: {book['problem']}"), Place(Path(path))
    return rows


def found_text(looked: Looked) -> str:
    """Return what was found in one sentence, and what could not be looked at in others."""
    if looked.checks is not None:
        jobs = len({row["path"] for row in looked.checks})
        checks = count_text(len(looked.checks), "check")
        said = [f"{checks} of {count_text(jobs, 'job')}" if jobs else "Nothing is found"]
        many = len(looked.checks)
    else:
        many = len(looked.books)
        said = [count_text(many, "job") if many else "No job is found"]
    if many > MOST:
        said.append(f"the first {MOST} are shown: ask for less")
    if looked.unread:
        said.append(f"{count_text(len(looked.unread), 'book')} could not be read")
    said += [f"not looked into: {folder}" for folder in looked.unseen]
    if looked.no_index:
        said.append(f"every book was read anew, for no index can be kept: {looked.no_index}")
    return "; ".join(said) + "."


def _book(book: Listed) -> Row:
    copy = f"a copy; {book['copy_of']} is looked at: " if book["copy_of"] else ""
    return Row(str(book["path"]), job_text(book), f"{copy}{tally_text(book)}", _last(book))


def _check(row: Listed) -> Row:
    state = str(row["state"])
    below = [state] + ([f"limit {row['limit']}"] if row["limit"] else [])
    below += [f"by {row['gauge']}"] if row["gauge"] else []
    below += [date_said(str(row["at"]))] if row["at"] else []
    return Row(
        f"{row['path']}\n{row['key']}", f"{row['key']}  {row['check']}", "; ".join(below),
        value_text(row), level=1, state=_STATES.get(state),
    )  # fmt: skip


def _last(row: Listed) -> str:
    return f"last entry {date_said(str(row['last']))}" if row["last"] else ""
