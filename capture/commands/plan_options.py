"""Options that name plans and the job, read: files, names of the library, job details -> Plan."""

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from capture.errors import BadPlanFile, WrongUse

if TYPE_CHECKING:
    from capture.plans.fragment import Fragment
    from store.plan import Job, Plan

JOB = ("number", "engine", "engine_number", "customer", "shop", "units")


def add_job(parser: argparse.ArgumentParser) -> None:
    """Add the options that say what job it is, and those that trim the plans to it."""
    job = parser.add_argument_group("the job", "needed where no plan file names it in [job]")
    job.add_argument("--number", metavar="TEXT", help="of the job")
    job.add_argument("--engine", metavar="TEXT", help="what it is")
    job.add_argument("--engine-number", metavar="TEXT", help="as stamped")
    job.add_argument("--customer", metavar="TEXT", help="whose it is")
    job.add_argument("--shop", metavar="TEXT", help="who does it")
    job.add_argument("--units", choices=("metric", "US"), help="of lengths (default: metric)")
    trim = parser.add_argument_group("the plans", "made to fit this engine")
    trim.add_argument(
        "--each", metavar="LIST=A,B,C", action="append", default=[],
        help="what a plan has one location for each of, as main=1,2,3",
    )  # fmt: skip
    trim.add_argument(
        "--without", metavar="ID", action="append", default=[],
        help="a location, or LOCATION.CHECK, that this engine does not have",
    )  # fmt: skip


def chosen_plan(names: list[str], given: argparse.Namespace) -> "Plan":
    """Return the plan of files and library names, for the job that a file or the options name.

    Raises WrongUse, BadPlanFile.
    """
    from capture.plans.combination import combine  # noqa: PLC0415 - not for a mere --help
    from capture.plans.reader import read_plan  # noqa: PLC0415 - the same

    lists, options = each_of(given.each), _job_options(given)
    path = Path(names[0])
    if len(names) == 1 and is_toml(path) and not (lists or given.without or options):
        return read_plan(path)
    for name in names:
        refuse_unknown(name)
    job = _job(names, options)
    fragments = [fragment_of(name, job) for name in names]
    return combine(job, fragments, each=lists, without=tuple(given.without))


def fragment_of(name: str, job: "Job") -> "Fragment | Plan":
    """Return a plan to be combined: of a file, else of the library; raises BadPlanFile.

    A spreadsheet is read for ``job`` at once: its numbers may be in the job's units.
    """
    from capture.plans.fragment import read_fragment, read_library  # noqa: PLC0415 - slow
    from capture.plans.sheet import read_csv  # noqa: PLC0415 - the same

    path = Path(name)
    if path.is_file():
        return read_fragment(path) if is_toml(path) else read_csv(path, job)
    refuse_unknown(name)
    return read_library(name)


def refuse_unknown(name: str) -> None:
    """Raise BadPlanFile for what is neither a file nor a plan of the library."""
    from capture.plans.fragment import library  # noqa: PLC0415 - slow

    path = Path(name)
    shipped = [known for known, _ in library()]
    if path.is_file() or name in shipped:
        return
    if path.suffix or "/" in name or "\\" in name:
        raise BadPlanFile(f"there is no plan file {name}: look at its name and folder")
    raise BadPlanFile(
        f"{name} is no file here and no plan of the library; that has {', '.join(shipped)}"
    )


def is_toml(path: Path) -> bool:
    """Return whether it is a plan file that is not a table."""
    return path.is_file() and path.suffix.lower() != ".csv"


def each_of(typed: list[str]) -> dict[str, tuple[str, ...]]:
    """Return the lists of --each, as {"main": ("1", "2")}; raises WrongUse."""
    lists = {}
    for text in typed:
        name, equals, words = text.partition("=")
        several = tuple(word.strip() for word in words.split(",") if word.strip())
        if not (equals and name.strip() and several):
            raise WrongUse(f"--each {text!r}: write the list and its words, as main=1,2,3")
        if len(set(several)) < len(several) or name.strip() in lists:
            raise WrongUse(
                f"--each {text!r}: something is there twice, name each list and word once"
            )
        lists[name.strip()] = several
    return lists


def _job_options(given: argparse.Namespace) -> dict[str, str]:
    return {name: getattr(given, name) for name in JOB if getattr(given, name)}


def _job(names: list[str], options: Mapping[str, str]) -> "Job":
    """Return the job that one of the files names, with what the options say instead."""
    import msgspec  # noqa: PLC0415 - not for a mere --help

    from capture.plans.combination import job_from, read_job_file  # noqa: PLC0415 - the same

    jobs = [read_job_file(Path(name)) for name in names if names_a_job(Path(name))]
    if any(job != jobs[0] for job in jobs):
        raise WrongUse("two of the plan files name different jobs: leave [job] in one of them")
    if jobs:
        return msgspec.structs.replace(jobs[0], **options)
    lacking = [f"--{name}" for name in ("number", "engine", "customer", "shop")
               if name not in options]  # fmt: skip
    if lacking:
        raise WrongUse(f"no plan file names the job: say it with {', '.join(lacking)}")
    return job_from(options)


def names_a_job(path: Path) -> bool:
    """Return whether it is a plan file with a [job]."""
    import tomllib  # noqa: PLC0415 - not for a mere --help

    if not is_toml(path):
        return False
    try:
        return "job" in tomllib.loads(path.read_text("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        return False  # refused with its reason when it is read
