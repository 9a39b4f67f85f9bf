"""Books and checks of many jobs -> lines for a person, and the JSON for a program."""

from collections.abc import Iterator
from typing import Any

from capture.words.jobs import job_text, tally_text, value_text
from capture.words.quantities import count_text
from store.many_jobs.shop_tables import BOOK_COLUMNS
from store.ways_out.listing import CHECKS, READINGS, Row

_DAY = 10  # of an ISO 8601 time
_OF_JOB = ("job", "engine", "engine_number", "customer", "shop", "path")
_YES_NO = {column.name for column in (*CHECKS, *READINGS) if column.form == "yes-no"}


def book_lines(books: list[Row]) -> Iterator[str]:
    """Yield a line for each book: the job and how it stands, or why it can't be read."""
    for book in books:
        if book["problem"]:
            job = f"{job_text(book)}: " if book["job"] else ""
            yield f"not read  {job}{book['path']}: {book['problem']}"
        elif book["copy_of"]:
            yield f"a copy    {job_text(book)}, {book['path']}: {book['copy_of']} is looked at"
        else:
            yield f"{job_text(book)}, last entry {str(book['last'])[:_DAY]}, {book['path']}"
            yield f"    {tally_text(book)}"


def row_lines(rows: list[Row]) -> Iterator[str]:
    """Yield checks or readings under their jobs."""
    if not rows:
        yield "nothing is found"
    path = None
    for row in rows:
        if row["path"] != path:
            path = row["path"]
            yield f"{job_text(row)}, {path}"
        said = "; ".join(part for part in (value_text(row), *_beside(row)) if part)
        yield f"    {row['key']:<20} {_standing(row):<20} {said}".rstrip()
    if rows:
        jobs = len({row["path"] for row in rows})
        yield f"{count_text(len(rows), 'found', 'found')} in {count_text(jobs, 'job')}"


def book_answer(book: Row) -> dict[str, Any]:
    """Return a book for a program."""
    return {**{column.name: book[column.name] for column in BOOK_COLUMNS},
            "copy_of": book["copy_of"]}  # fmt: skip


def row_answer(row: Row) -> dict[str, Any]:
    """Return a check or a reading for a program, with its job."""
    columns = READINGS if "verdict" in row else CHECKS
    names = (*_OF_JOB, *(column.name for column in columns))
    return {name: bool(row[name]) if name in _YES_NO else row[name] for name in names}


def _standing(row: Row) -> str:
    return str(row["verdict"] if "verdict" in row else row["state"])


def _beside(row: Row) -> list[str]:
    said = [f"limit {row['limit']}"] if row["limit"] else []
    said += [f"by {row['gauge']}"] if row["gauge"] else []
    said += [str(row["at"])[:_DAY]] if row["at"] else []
    if row.get("struck"):
        said.append(f"struck: {row['struck']}")
    elif row.get("void"):
        said.append(f"void: {row['void']}")
    return said
