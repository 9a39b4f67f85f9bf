"""Everything that is wrong in a plan file, a sentence each, not only the first."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from capture.errors import BadPlanFile
from capture.plans.each import Multiplied, multiplied
from capture.plans.keys import TABLES
from capture.plans.lines import line_of
from capture.plans.reader import (
    decoded,
    parse_job,
    parse_records,
    plan_of,
    read_bytes,
    records_of,
)
from capture.plans.records import Records
from capture.plans.sheet import parse_csv
from capture.plans.table import Misfit, Table
from store.characteristic import Characteristic
from store.plan import Job, Part

_LISTS = tuple(key.name for key in TABLES["plan"] if key.form == "tables")
# In the place of checks that are told by themselves, so that the location is read without them.
_ANY_CHECK = {"id": "x", "kind": "yes-no", "question": "x"}


def faults(path: Path, job: Job) -> tuple[str, ...]:
    """Return what is wrong in a plan file, in its order; empty if nothing is.

    Of a TOML file each gauge, hold point, part, kit line, location and check is read by itself;
    what they say of each other is looked at when each of them is sound. Of a spreadsheet it is
    the first row that is wrong. ``job`` is taken where the file names none.
    """
    try:
        raw = read_bytes(path)
        if path.suffix.lower() == ".csv":
            parse_csv(raw, path.name, job)
            return ()
        text = decoded(raw, path.name)
        document = tomllib.loads(text)
    except BadPlanFile as fault:
        return (str(fault),)
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        return (f"{path.name} is not TOML: {fault}",)
    found = []
    if "job" in document:
        try:
            job = parse_job(text, path.name)
        except BadPlanFile as fault:
            found.append(str(fault))
            job = _as_far_as_it_goes(document["job"], job)
    found += _PlanText(text, path.name, job, multiplied(document, {})).faults()
    return tuple(dict.fromkeys(found)) or _together(text, path.name, job)


def _as_far_as_it_goes(written: Any, job: Job) -> Job:  # noqa: ANN401 - TOML
    """Return the job with what the rest of the file is read by, of one that is refused."""
    known = written if isinstance(written, dict) else {}
    return replace(
        job,
        units="US" if known.get("units") == "US" else job.units,
        decimal_comma=known.get("decimal_comma") is True,
    )


def _together(text: str, file_name: str, job: Job) -> tuple[str, ...]:
    """Return what is wrong in how sound pieces speak of each other.

    Where one is found, the piece that it comes from is made to speak of nothing, and the rest is
    looked at again.
    """
    records = parse_records(text, file_name, job)
    found: list[str] = []
    if not records.locations:
        return (f"{file_name}: a plan needs at least one [[location]]",)
    while told := _fault(records, file_name, job):
        found.append(told)
        silenced = (
            silent for silent in _silenced(records) if _fault(silent, file_name, job) != told
        )
        records, before = next(silenced, records), records
        if records is before:
            break
    return tuple(found)


def _fault(records: Records, file_name: str, job: Job) -> str:
    try:
        plan_of(job, records, file_name)
    except BadPlanFile as fault:
        return str(fault)
    return ""


def _silenced(records: Records) -> Iterator[Records]:
    """Yield the records with one piece at a time that speaks of no other."""
    for at, location in enumerate(records.locations):
        for place, check in enumerate(location.characteristics):
            if check.gauge or check.part or check.is_worked_out:
                checks = _with(location.characteristics, place, _silent(check))
                silent = replace(location, characteristics=checks)
                yield replace(records, locations=_with(records.locations, at, silent))
    for at, hold in enumerate(records.hold_points):
        yield replace(records, hold_points=_with(records.hold_points, at, replace(hold, hides=())))
    for at, part in enumerate(records.parts):
        yield replace(records, parts=_with(records.parts, at, Part(part.id, part.name)))
    for name in ("locations", "hold_points", "gauges", "parts", "kit"):  # an id that is there twice
        pieces = getattr(records, name)
        for at in range(1, len(pieces)):
            if pieces[at].id in {piece.id for piece in pieces[:at]}:
                yield replace(records, **{name: (*pieces[:at], *pieces[at + 1 :])})


def _silent(check: Characteristic) -> Characteristic:
    """Return a check that rests on nothing else, and can be worked with as before."""
    kind = "length" if check.is_worked_out else check.kind
    return replace(check, kind=kind, formula="", of=None, gauge="", part="")


def _with(pieces: tuple[Any, ...], at: int, piece: Any) -> tuple[Any, ...]:  # noqa: ANN401 - any
    return (*pieces[:at], piece, *pieces[at + 1 :])


class _PlanText:
    """A plan's text, with every for_each carried out, to be read piece by piece."""

    def __init__(self, text: str, file_name: str, job: Job, many: Multiplied) -> None:
        self._text, self._file, self._job, self._many = text, file_name, job, many

    def faults(self) -> list[str]:
        """Return the fault of each piece that has one; of copies only the first that has."""
        top = {key: value for key, value in self._many.document.items() if key not in _LISTS}
        found = [*self._of_keys(top)]
        for name in _LISTS:
            tables = self._many.document.get(name)
            if not isinstance(tables, list) or not all(isinstance(each, dict) for each in tables):
                found += self._read({name: tables} if tables is not None else {}, ())
                continue
            told: set[tuple[int, ...]] = set()
            for number, table in enumerate(tables):
                for piece, fault in self._of_piece(name, number, table):
                    if piece not in told:
                        found.append(fault)
                    told.add(piece)
        return found

    def _of_keys(self, top: dict[str, Any]) -> Iterator[str]:
        """Yield the fault of each key at the top; the format is needed, and read with each."""
        wanted = {"format": top.get("format")} if "format" in top else {}
        for key, value in (top or {"": None}).items():
            yield from self._read(wanted | ({key: value} if key else {}), (), bare=True)

    def _of_piece(
        self, name: str, number: int, table: dict[str, Any]
    ) -> Iterator[tuple[tuple[int, ...], str]]:
        """Yield (which piece of the file, its fault)."""
        origin = self._many.origin(name, (number,))
        checks = table.get("check") if name == "location" else None
        if isinstance(checks, list) and checks and all(isinstance(c, dict) for c in checks):
            for fault in self._read({name: [table | {"check": [_ANY_CHECK]}]}, (number,)):
                yield origin, fault
            sound = {"id": table.get("id", ""), "name": "x"}
            if not isinstance(sound["id"], str):
                sound["id"] = "x"
            for place, check in enumerate(checks):
                piece = sound | {"check": [check]}
                for fault in self._read({name: [piece]}, (number, place)):
                    yield (*origin, place), fault
        else:
            for fault in self._read({name: [table]}, (number,)):
                yield origin, fault

    def _read(
        self, document: dict[str, Any], number: tuple[int, ...], *, bare: bool = False
    ) -> list[str]:
        """Return the fault of a document that holds one piece of this one, at ``number``."""

        def where(name: str, at: tuple[int, ...], key: str) -> str | None:
            real = (*number, *at[len(number) :])
            line = line_of(self._text, name, self._many.origin(name, real), key)
            return f"{self._file}, line {line}" if line else None

        whole = document if bare else {"format": 1, **document}
        try:
            table = Table(whole, kind="plan", file=self._file, where=where)
            records_of(table, self._job)
        except (BadPlanFile, Misfit) as fault:
            return [str(fault)]
        return []
