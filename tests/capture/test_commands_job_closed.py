"""Closing the last hold point: a checkpoint is kept, told, and vouched for by verify."""

import subprocess
from pathlib import Path

import pytest

from capture.journey import Journey
from store.errors import BadKey
from store.pack.checkpoint import parse_checkpoint
from store.signing.key_file import key_folder
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.command import Done, run
from tests.capture.test_commands_bench import read_everything

AT = "2026-03-05T16:40:00+01:00"
WAIVED = ("--reason", "seen", "--decided-by", "Ann", "--owner-agreed", "by phone")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Give a book of which only the sump is still open, and that with something unproven."""
    plan = tmp_path / "plan.toml"
    plan.write_text(BENCH_PLAN, encoding="utf-8")
    root = tmp_path / "book"
    run("start", plan, root, "--by", "Ann", "--bench", "bench-1")
    read_everything(root)
    run("debris", root, "G1", "--how", "brushed", "--clean", "yes")
    for plug in ("G2", "G3"):
        run("plug", root, plug, "in", "--piece", f"bag {plug}")
    assert run("close", root, "crank").code == 0
    return root


def close_all(book: Path, *words: str) -> Done:
    """Close the sump, waiving one thing after the other that is said to be unproven."""
    done = run("close", book, "sump", *words)
    for _ in range(20):
        if done.code == 0:
            return done
        asked = run("close", book, "sump", "--json")
        key = asked.answer()["unproven"][0]["key"]
        done = run("close", book, "sump", "--waive", key, *WAIVED, *words)
    return done


def checkpoints(book: Path) -> list[Path]:
    return [p for p in (book / "checkpoints").rglob("*") if p.is_file() and p.suffix != ".sig"]


def test_the_last_one_keeps_a_checkpoint_and_tells_its_root(book: Path, tmp_path: Path) -> None:
    assert checkpoints(book) == []
    done = close_all(book)
    assert done.code == 0
    assert "the job is closed, and a checkpoint of it is kept" in done.out
    (path,) = checkpoints(book)
    checkpoint = parse_checkpoint(path.read_bytes())
    assert f"bench-1: {checkpoint.entries} entries, root {checkpoint.root}" in done.out
    allowed = tmp_path / "allowed"
    allowed.write_text(f"bench-1 {(key_folder() / 'signing-key.pub').read_text()}")
    verified = subprocess.run(
        ["ssh-keygen", "-Y", "verify", "-f", allowed, "-I", "bench-1", "-n", "evidence-pack",
         "-s", path.with_name(path.name + ".sig")],
        input=path.read_text(), capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert "Good" in verified.stdout
    assert run("verify", book).code == 0


def test_a_program_is_told_too(book: Path) -> None:
    answer = close_all(book, "--json").answer()
    (path,) = checkpoints(book)
    checkpoint = parse_checkpoint(path.read_bytes())
    assert answer["job_closed"] is True
    assert answer["checkpoints"] == [
        {"bench": "bench-1", "entries": checkpoint.entries, "root": checkpoint.root}
    ]


def test_a_key_that_can_not_be_used_warns_and_the_hold_point_is_closed(book: Path) -> None:
    key_folder().mkdir(parents=True)
    (key_folder() / "signing-key").write_text("no key")
    done = close_all(book)
    assert done.code == 0
    assert "no checkpoint of it could be kept" in done.err
    assert checkpoints(book) == []
    assert run("verify", book).code == 0


@pytest.mark.parametrize("key_is_sound", [True, False])
def test_from_the_window_it_is_kept_too_and_a_bad_key_refuses_no_closing(
    book: Path, *, key_is_sound: bool
) -> None:
    """The window closes by the journey."""
    if not key_is_sound:
        key_folder().mkdir(parents=True)
        (key_folder() / "signing-key").write_text("no key")
    with Journey.open(book, clock=lambda: AT, user="Ann", version="0.1.0") as journey:
        for key, _ in journey.round().hold("sump").unproven:
            journey.waive("sump", key, reason="seen", decided_by="Ann", owner_agreed="by phone")
        assert journey.job_closed() is None
        assert journey.close("sump").kind == "closed"
        assert len(checkpoints(book)) == int(key_is_sound)
        if not key_is_sound:
            with pytest.raises(BadKey):
                journey.job_closed()
