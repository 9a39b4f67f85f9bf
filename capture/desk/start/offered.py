"""The plans that a new job can be begun from, and the plan that comes of those chosen."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

from capture.desk.unfit import refuse_empty
from capture.plans.combination import combine, job_from
from capture.plans.fragment import Fragment, library, read_fragment, read_library
from capture.plans.reader import parse_job
from capture.plans.sheet import read_csv
from store.plan import Job, Plan

NOBODYS = Job(number="-", engine="-", customer="-", shop="-")


class Offered(NamedTuple):
    """A plan that can be chosen: how much it asks by itself, and what it multiplies by."""

    name: str
    about: str
    locations: int
    hold_points: int
    lists: dict[str, tuple[str, ...]]

    @property
    def title(self) -> str:
        """The name as words: "Plugs and galleries"."""
        words = self.name.replace("-", " ")
        return words[:1].upper() + words[1:]

    @property
    def size(self) -> str:
        """How much it asks."""
        return size_text(self.locations, self.hold_points)


class Chosen(NamedTuple):
    """What was ticked: plans of the library, files, and the plan of the job that came back."""

    library: tuple[str, ...] = ()
    files: tuple[Path, ...] = ()
    before: Plan | None = None
    lists: Mapping[str, tuple[str, ...]] = {}
    without: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether no plan is chosen: locations are then written as one walks round."""
        return not (self.library or self.files or self.before)


def size_text(locations: int, hold_points: int) -> str:
    """Return "44 locations, 5 hold points"."""
    return (
        f"{locations} location{'' if locations == 1 else 's'}, "
        f"{hold_points} hold point{'' if hold_points == 1 else 's'}"
    )


def offered_library() -> tuple[Offered, ...]:
    """Return the shipped plans in the usual order of work."""
    return tuple(_offered(read_library(name)) for name, _ in library())


def offered_file(path: Path, job: Job = NOBODYS) -> Offered:
    """Return what a plan file offers; raises BadPlanFile."""
    return _offered(_fragment(path, job), path.name)


def job_in(path: Path) -> Job | None:
    """Return the job that a plan file names, None where it names none; raises BadPlanFile."""
    if _is_sheet(path):
        return None
    text = read_fragment(path).text
    return parse_job(text, path.name) if "job" in tomllib.loads(text) else None


def plan_of(job: Job, chosen: Chosen) -> Plan:
    """Return the plan of what was chosen, for a job; raises BadPlanFile, Unfit."""
    if chosen.is_empty:
        return Plan(job=job, locations=())
    shipped = [read_library(name) for name in chosen.library]
    files = [_fragment(path, job) for path in chosen.files]
    before = [chosen.before] if chosen.before else []
    plans = [*before, *shipped, *files]
    known = {name for one in plans if isinstance(one, Fragment) for name in one.lists}
    lists = {name: words for name, words in chosen.lists.items() if name in known}
    return combine(job, plans, each=lists, without=chosen.without)


def job_of(texts: Mapping[str, str], base: Job | None = None) -> Job:
    """Return the job that the fields say, on what a plan file says of it; raises Unfit."""
    refuse_empty(
        texts,
        engine="say what is being rebuilt",
        customer="say whose it is",
        number="a job needs its number: it stands on the report",
        shop="say which shop does it: it stands on the report",
    )
    names = ("number", "engine", "customer", "shop", "engine_number", "units")
    typed = {name: " ".join(texts[name].split()) for name in names if texts.get(name)}
    job = job_from(typed)
    return replace(
        base or job,
        **{name: getattr(job, name) for name in names},
        decimal_comma=texts.get("decimal_comma") == "comma",
        instructions=_lines(texts.get("instructions", "")),
        declined=_lines(texts.get("declined", "")),
    )


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def _offered(fragment: Fragment | Plan, name: str = "") -> Offered:
    plan = combine(NOBODYS, [fragment])
    size = (len(plan.locations), len(plan.hold_points))
    if isinstance(fragment, Plan):
        return Offered(name, "a plan in a spreadsheet", *size, {})
    offered = Offered(name or fragment.name, "", *size, dict(fragment.lists))
    about = fragment.about or "a plan file"
    head, colon, rest = about.partition(": ")
    # "Cam tunnel: oil holes of ..." below the title "Cam tunnel" would say it twice.
    repeats = colon and head.lower() == offered.title.lower()
    told = rest if repeats else about
    return offered._replace(about=f"{told[:1].upper()}{told[1:]}")


def _fragment(path: Path, job: Job) -> Fragment | Plan:
    return read_csv(path, job) if _is_sheet(path) else read_fragment(path)


def _is_sheet(path: Path) -> bool:
    return path.suffix.lower() == ".csv"
