"""What a book is held to later: kept roots, held against the lines, and the keys there are."""

import hashlib
import subprocess
from pathlib import Path

import pytest

from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.errors import Damaged
from store.signing.key_file import key_folder
from tests.capture.small_plan import PLAN
from tests.capture.test_journey import begun

WAIVED = {"reason": "old stain", "decided_by": "Ann", "owner_agreed": "by phone"}


@pytest.fixture
def journey(tmp_path: Path) -> Journey:
    return begun(tmp_path / "book", parse_plan(PLAN.encode(), "plan.toml"))


def close_it(journey: Journey) -> None:
    hold = journey.round().hold("cover")
    for key, _ in hold.unproven:
        journey.waive("cover", key, **WAIVED)
    journey.close("cover")


def test_nothing_is_told_and_nothing_made_before_anything_is_kept(journey: Journey) -> None:
    with journey:
        told = journey.vouched()
    assert (told.closed, told.roots, told.key, told.certificate) == (False, (), "", "")
    assert not key_folder().exists()


def test_an_open_job_makes_no_keys(journey: Journey) -> None:
    with journey:
        assert journey.vouch().key == ""
    assert not key_folder().exists()


def test_a_closed_job_tells_its_root_and_both_fingerprints(journey: Journey) -> None:
    """The root is worked out again as FORMAT.txt tells it: SHA-256 over the lines' hashes; the
    key's fingerprint is what OpenSSH's own ssh-keygen prints of the public half.
    """
    with journey:
        close_it(journey)
        told = journey.vouch()
        lines = "".join(f"{entry.hash}\n" for entry in journey.book.entries())
    (root,) = told.roots
    assert told.closed
    assert root.root == hashlib.sha256(lines.encode()).hexdigest()
    assert (root.bench, root.entries, root.later) == ("bench-1", lines.count("\n"), 0)
    printed = subprocess.run(
        ["ssh-keygen", "-l", "-f", key_folder() / "signing-key.pub"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert told.key in printed.split()
    assert len(told.certificate) == 64
    assert told.trouble == ""


def test_entries_after_the_root_are_counted(journey: Journey) -> None:
    with journey:
        close_it(journey)
        first = journey.vouch().roots[0]
        journey.owner_said("told", "it is ready", how="by phone")
        later = journey.vouched().roots[0]
    assert (later.root, later.entries, later.later) == (first.root, first.entries, 1)


def test_a_checkpoint_of_other_lines_is_not_handed_out(journey: Journey) -> None:
    with journey:
        close_it(journey)
        (kept,) = (
            path for path in (journey.book.root / "checkpoints" / "bench-1").iterdir()
            if path.suffix != ".sig"
        )  # fmt: skip
        text = kept.read_text("utf-8")
        digit = "0" if text[-2] != "0" else "1"
        kept.write_text(f"{text[:-2]}{digit}\n", "utf-8")
        # The name holds only the root's first digits: by it alone this would not be seen.
        with pytest.raises(Damaged, match="not those that its checkpoint was made of"):
            journey.vouched()
        assert "Run verify" in journey.vouch().trouble


def test_what_cannot_be_kept_is_told_and_the_part_stays_on(
    journey: Journey, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "no-folder").write_text("", "utf-8")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "no-folder"))
    with journey:
        close_it(journey)
        told = journey.vouch()
        assert journey.round().hold("cover").closed
    assert told.closed
    assert told.roots == ()
    assert "signing-key" in told.trouble
