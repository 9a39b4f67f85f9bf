"""Everything that is wrong in a plan file, a sentence each, not only the first."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from capture.errors import BadPlanFile
from capture.plans.combination import combine
from capture.plans.each import Multiplied, multiplied
from capture.plans.fragment import parse_fragment
from capture.plans.keys import TABLES
from capture.plans.lines import line_of
from capture.plans.reader import decoded, parse_job, read_bytes, records_of
from capture.plans.table import Misfit, Table
from store.plan import Job

_LISTS = tuple(key.name for key in TABLES["plan"] if key.form == "tables")
# In the place of checks that are told by themselves, so that the location is read without them.
_ANY_CHECK = {"id": "x", "kind": "yes-no", "question": "x"}


def faults(path: Path, job: Job) -> tuple[str, ...]:
    """Return what is wrong in a TOML plan file, in its order; empty if nothing is.

    Each gauge, hold point, part, kit line, location and check is read by itself; what they say of
    each other is looked at when each of them is sound. ``job`` is taken where the file names none.
    """
    try:
        raw = read_bytes(path)
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
    found += _PlanText(text, path.name, job, multiplied(document, {})).faults()
    return tuple(dict.fromkeys(found)) or _together(raw, path.name, job)


def _together(raw: bytes, file_name: str, job: Job) -> tuple[str, ...]:
    """Return what is wrong in how sound pieces speak of each other."""
    try:
        combine(job, [parse_fragment(raw, file_name)])
    except BadPlanFile as fault:
        return (str(fault),)
    return ()


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
