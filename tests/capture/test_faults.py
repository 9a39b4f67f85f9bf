"""Everything that is wrong in a plan file: held against the reader, which stops at the first."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture.errors import BadPlanFile
from capture.faults import faults
from capture.plans.reader import read_plan
from capture.plans.writer import inline
from store.plan import Job
from tests.capture.full_plan import FULL

JOB = Job(number="-", engine="-", customer="-", shop="-")
WRONG: tuple[Any, ...] = (
    "", "x", "M1", 7, -1, 1.5, True, [], ["x"], [7], {}, {"x": 1}, [{}], [{"id": "P1"}], "9 mm",
    "3 psi", "1,5 mm",
)  # fmt: skip


def spots(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the path of everything in a document, itself left out."""
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    found = []
    for key, below in inner:
        found.append((*path, key))
        if isinstance(below, dict | list):
            found += spots(below, (*path, key))
    return found


def changed(document: Any, path: tuple[Any, ...], value: Any) -> Any:
    """Return the document with another value at a path; nothing there for None."""
    key, rest = path[0], path[1:]
    items = dict(document) if isinstance(document, dict) else dict(enumerate(document))
    if rest:
        items[key] = changed(items[key], rest, value)
    elif value is None:
        del items[key]
    else:
        items[key] = value
    return items if isinstance(document, dict) else list(items.values())


def text_of(document: dict[str, Any]) -> str:
    """Return a document as TOML, every table of it written inline."""
    return "".join(f"{key} = {inline(value)}\n" for key, value in document.items())


DOCUMENT = tomllib.loads(FULL)
SPOTS = spots(DOCUMENT)


def refused(path: Path) -> bool:
    try:
        read_plan(path)
    except BadPlanFile:
        return True
    return False


@settings(deadline=None, max_examples=60)
@given(picked=st.lists(st.sampled_from(SPOTS), min_size=1, max_size=3, unique=True), data=st.data())
def test_there_are_faults_just_where_the_reader_refuses(
    tmp_path_factory: pytest.TempPathFactory, picked: list[tuple[Any, ...]], data: st.DataObject
) -> None:
    document = DOCUMENT
    for spot in picked:
        value = data.draw(st.one_of(st.none(), st.sampled_from(WRONG)))
        if spot in spots(document):
            document = changed(document, spot, value)
    path = tmp_path_factory.mktemp("plan") / "plan.toml"
    path.write_text(text_of(document), encoding="utf-8")
    found = faults(path, JOB)
    # A file without [job] is a plan to be combined: sound, though the reader wants a job.
    if "job" in document:
        assert bool(found) == refused(path), found
    assert len(set(found)) == len(found)
    assert all("\n" not in fault for fault in found)


def test_the_untouched_document_has_no_faults(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(text_of(DOCUMENT), encoding="utf-8")
    assert faults(path, JOB) == ()
    assert not refused(path)


def test_what_is_wrong_at_two_copies_of_one_location_is_told_once(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(FULL.replace("repeats = 2\n  take", "repeats = 200\n  take"), encoding="utf-8")
    (fault,) = faults(path, JOB)
    assert "'bore'" in fault
    assert "1 to 99 repeats, not 200" in fault


def test_a_wrong_job_does_not_hide_the_rest(tmp_path: Path) -> None:
    text = FULL.replace('customer = "Ada Quill"', "customer = 4").replace("count = 2", "count = -2")
    path = tmp_path / "plan.toml"
    path.write_text(text, encoding="utf-8")
    first, second = faults(path, JOB)
    assert "customer" in first
    assert "-2 pieces" in second


def test_an_empty_file_lacks_its_format_and_its_locations(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text("", encoding="utf-8")
    assert "format" in faults(path, JOB)[0]
    path.write_text("format = 1\n", encoding="utf-8")
    assert "at least one" in faults(path, JOB)[0]
