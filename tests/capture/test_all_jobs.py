"""Books below folders, looked through; where no index can be kept, read anew."""

from pathlib import Path

import pytest

from capture.all_jobs import look
from store.many_jobs.sought import Sought
from tests.store.jobs import job_book


def test_checks_are_looked_for_only_where_something_is_asked_of_them(tmp_path: Path) -> None:
    job_book(tmp_path / "jobs" / "J-1", "J-1")
    every = look([tmp_path / "jobs"], Sought(), version="t")
    assert every.checks is None
    assert [book["job"] for book in every.books] == ["J-1"]
    asked = look([tmp_path / "jobs"], Sought(check="nip"), version="t")
    assert [row["key"] for row in asked.checks or ()] == ["P3.nip"]
    assert asked.no_index == ""


def test_without_a_cache_every_book_is_read_and_it_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job_book(tmp_path / "jobs" / "J-1", "J-1")
    (tmp_path / "file").write_text("", "utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    found = look([tmp_path / "jobs"], Sought(job="J-1"), version="t")
    assert [book["job"] for book in found.books] == ["J-1"]
    assert found.no_index
