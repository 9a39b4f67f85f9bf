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
    """Return the text of a plan file; one plan of the library as it is shipped, with its lists.

    Without a job of its own (``named``) it is to be combined. Raises WrongUse for another kind
    of file than .toml.
    """
    from capture.plans.fragment import Fragment  # noqa: PLC0415 - not for a mere --help
    from capture.plans.writer import write_plan  # noqa: PLC0415 - the same

    _refuse_other_kind(target)
    as_shipped = len(given.plan) == 1 and not (named or given.each or given.without)
    if as_shipped:
        from capture.commands.plan_options import fragment_of  # noqa: PLC0415 - the same

        found = fragment_of(given.plan[0])
        if isinstance(found, Fragment):
            return found.text
    text = write_plan(plan)
    return text if named else _JOB.sub("", text, count=1)


def keep(target: Path, text: str) -> None:
    """Write a text to a new file; raises WrongUse rather than write over another."""
    try:
        with target.open("x", encoding="utf-8", newline="\n") as file:
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
    if path.suffix.lower() != ".toml":
        raise WrongUse(f"{path} is no plan file by its name: a plan is a .toml")
