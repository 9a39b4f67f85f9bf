"""Plan files for the verbs: what is written to be edited, and everything that is wrong in one."""

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING

from capture.errors import WrongUse

if TYPE_CHECKING:
    from store.plan import Job, Plan

_JOB = re.compile(r"^\[job\]\n(?:.+\n)+\n?", re.MULTILINE)


def plan_text(target: Path, plan: "Plan", given: argparse.Namespace, *, named: bool) -> str:
    """Return the text of a plan file, TOML or CSV by the file's name.

    One plan of the library is written as it is shipped, with the lists it multiplies by. Without
    a job of its own (``named``) it is to be combined. Raises WrongUse for another kind of file.
    """
    from capture.plans.sheet_writer import write_csv  # noqa: PLC0415 - not for a mere --help
    from capture.plans.writer import write_plan  # noqa: PLC0415 - the same

    _refuse_other_kind(target)
    if target.suffix.lower() == ".csv":
        return write_csv(plan)
    if not (named or given.each or given.without) and len(given.plan) == 1:
        shipped = _shipped(given.plan[0])
        if shipped:
            return shipped
    text = write_plan(plan)
    return text if named else _JOB.sub("", text, count=1)


def _shipped(name: str) -> str:
    """Return the text of a plan of the library, empty if it has none of that name."""
    from capture.plans.fragment import library, read_library  # noqa: PLC0415 - not for --help

    return read_library(name).text if name in {known for known, _ in library()} else ""


def refuse_taken(target: Path) -> None:
    """Refuse before long work a name that ``keep`` would refuse after it."""
    if target.exists():
        raise WrongUse(f"{target} is there already: it is not overwritten, name another")
    if not target.parent.is_dir():
        raise WrongUse(f"there is no folder {target.parent}: make it first")


def keep(target: Path, text: str) -> None:
    """Write a text to a new file; raises WrongUse rather than write over another."""
    try:
        with target.open("x", encoding="utf-8", newline="") as file:
            file.write(text)
    except FileExistsError as error:
        raise WrongUse(f"{target} is there already: it is not overwritten, name another") from error
    except FileNotFoundError as error:
        raise WrongUse(f"there is no folder {target.parent}: make it first") from error


def faults_of(path: Path, job: "Job") -> list[str]:
    """Return everything that is wrong in a plan file, a sentence each; empty if nothing is.

    ``job`` is taken where the file names none.
    """
    from capture.faults import faults  # noqa: PLC0415 - not for a mere --help

    _refuse_other_kind(path)
    return list(faults(path, job))


def _refuse_other_kind(path: Path) -> None:
    if path.suffix.lower() not in {".toml", ".csv"}:
        raise WrongUse(f"{path} is no plan file by its name: a plan is a .toml or a .csv")
