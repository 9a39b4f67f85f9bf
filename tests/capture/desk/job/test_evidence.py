"""What to send out of the shop, and what came from another bench's copy: shown, not hidden."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from capture.desk.desk import Desk
from capture.desk.hold.screen import HoldScreen
from capture.desk.location.history import history_of
from capture.desk.walk.pane import RoundPane
from capture.desk.where import Where
from capture.journey import Journey
from capture.keys import certificate_fingerprint, signing_fingerprint
from tests.capture.desk.hold.shown import prove
from tests.capture.desk.hold.shown import shown as shown_hold

WAIVED = {"reason": "old stain", "decided_by": "Ann", "owner_agreed": "by phone"}
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def merged(small: Desk, qtbot, tmp_path: Path) -> Desk:
    """Give a book in which two benches read one bore, each not knowing of the other."""
    south = tmp_path / "south"
    copied: list[object] = []
    small.act(lambda journey: journey.copy(south, bench="south"), then=copied.append)
    qtbot.waitUntil(lambda: bool(copied))
    with Journey.open(south, clock=small.edge.clock, user="Bo", version="t") as there:
        there.reading("P1.bore", "40.020 mm +- 0.002 mm")
        there.reading("P1.clean", "yes")
    small.act(lambda journey: journey.reading("P1.bore", "40.012 mm +- 0.002 mm"))
    taken: list[object] = []
    small.act(lambda journey: journey.merge(south), then=taken.append)
    qtbot.waitUntil(lambda: bool(taken))
    return small


def test_nothing_is_kept_before_there_is_something_to_hold_to(small, job_of, qtbot) -> None:
    page = job_of(small, "Evidence").page
    qtbot.waitUntil(page.proof.isVisible)
    assert page.proof.title.text().startswith("Nothing is kept yet")
    assert not page.proof.copy.isVisible()
    assert page.rows.row_keys() == []
    assert not page.go_there.isVisible()


def test_closing_the_job_shows_what_to_send_and_copies_it(small, qtbot) -> None:
    screen: HoldScreen = shown_hold(small, qtbot, "cover")
    prove(small, qtbot)
    assert not screen.closed_part.proof.isVisible()
    for key, _ in small.round.hold("cover").unproven:
        small.act(lambda journey, key=key: journey.waive("cover", key, **WAIVED))
    qtbot.waitUntil(lambda: not small.round.hold("cover").unproven)
    qtbot.keyClick(screen, Qt.Key.Key_Return, CTRL)
    proof = screen.closed_part.proof
    qtbot.waitUntil(proof.isVisible)
    told: list[str] = []
    small.told.connect(told.append)
    qtbot.keyClick(screen, Qt.Key.Key_C, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert told == ["copied: paste it into a letter or a message to the customer"]
    message = QGuiApplication.clipboard().text()
    kept = {
        path.read_text("utf-8").splitlines()[2]
        for path in (small.root / "checkpoints" / "test-bench").glob("*")
        if path.suffix != ".sig"
    }
    (root,) = kept
    for said in (root, signing_fingerprint(), certificate_fingerprint(), "please keep"):
        assert said in message
    shown = "".join("".join(proof.facts).split())
    for said in (root, signing_fingerprint(), certificate_fingerprint()):
        assert said in shown


def test_a_merge_is_told_with_its_conflict_which_leads_to_the_check(merged, job_of, qtbot) -> None:
    page = job_of(merged, "Evidence").page
    began, taken = merged.merges
    keys = page.rows.row_keys()
    assert keys == [taken.entry.hash, f"{taken.entry.hash} 0", began.entry.hash]
    first, conflict, last = (page.rows.row_at(n) for n in range(3))
    assert "of south taken in" in first.title
    assert first.right == "1 conflict"
    assert conflict.title == "Conflict: both read it"
    assert "'40.012 mm +- 0.002 mm' by R. Ansell" in conflict.below
    assert "'40.020 mm +- 0.002 mm' by Bo" in conflict.below
    assert last.title == "south began to work from a copy"
    assert not page.go_there.isEnabled()
    page.rows.choose(conflict.key)
    assert "What arrived last counts" in page.detail.text()
    qtbot.keyClick(page.rows, Qt.Key.Key_G)
    assert (merged.where.room, merged.where.key) == ("location", "P1.bore")


def test_the_round_counts_conflicts_as_long_as_there_are_any(merged, qtbot) -> None:
    pane = RoundPane(merged)
    qtbot.addWidget(pane)
    pane.resize(304, 700)
    pane.show()
    assert pane.merge_line.verb.words() == "1 conflict of merging"
    assert pane.merge_line.isVisible()
    pane.merge_line.verb.click()
    assert merged.where == Where("job", part="Evidence")


def test_a_round_without_a_merge_says_nothing_of_one(small, qtbot) -> None:
    pane = RoundPane(small)
    qtbot.addWidget(pane)
    pane.show()
    assert not pane.merge_line.isVisible()


def test_the_history_of_the_check_tells_the_conflict_too(merged) -> None:
    check = merged.round.check("P1.bore")
    lines = history_of(check, None, merged.merges)
    assert [line.head for line in lines].count("conflict of merging") == 1
    # Two chains, each with numbers of its own: by the clock the merge came last of all.
    assert lines[0].head == "conflict of merging"
    assert [line.said for line in lines[1:]] == ["40.012 mm +- 0.002 mm", "40.020 mm +- 0.002 mm"]
    (line,) = (each for each in lines if each.head == "conflict of merging")
    assert "was read at both" in line.said
    other = history_of(merged.round.check("P1.clean"), None, merged.merges)
    assert "conflict of merging" not in [each.head for each in other]


@pytest.fixture
def south(small: Desk, qtbot, tmp_path: Path) -> Path:
    """Give a second bench's copy with a reading of its own."""
    root = tmp_path / "south"
    copied: list[object] = []
    small.act(lambda journey: journey.copy(root, bench="south"), then=copied.append)
    qtbot.waitUntil(lambda: bool(copied))
    with Journey.open(root, clock=small.edge.clock, user="Bo", version="t") as there:
        there.reading("P1.bore", "40.020 mm +- 0.002 mm")
    return root


def test_another_copy_is_taken_in_by_its_folder_and_twice_is_once(
    small, south, job_of, filed, qtbot
) -> None:
    page = job_of(small, "Evidence").page
    told: list[str] = []
    small.told.connect(told.append)
    qtbot.keyClick(page.window(), Qt.Key.Key_T)
    assert not page.proof.isVisible()
    filed(page, copy=str(south))
    assert small.round.check("P1.bore").current.record.text == "40.020 mm +- 0.002 mm"
    assert "of south taken in" in told[-1]
    assert "another value" not in told[-1]  # there was none before
    assert page.proof.isVisible()
    assert page.rows.count() == 2
    entries = small.round.entries
    page.open_form("take in")
    filed(page, copy=str(south))
    assert told[-1] == "nothing new: everything in that copy is here already"
    assert small.round.entries == entries


def test_a_conflict_and_what_counts_now_are_told_at_once(
    small, south, job_of, filed, qtbot
) -> None:
    small.act(lambda journey: journey.reading("P1.bore", "40.012 mm +- 0.002 mm"))
    qtbot.waitUntil(lambda: small.round.check("P1.bore").current is not None)
    page = job_of(small, "Evidence").page
    told: list[str] = []
    small.told.connect(told.append)
    page.open_form("take in")
    filed(page, copy=str(south))
    assert "another value counts now at P1.bore" in told[-1]
    assert "1 conflict: look at each" in told[-1]


def test_a_pack_is_taken_in_and_its_key_is_named(
    small, south, job_of, filed, tmp_path: Path
) -> None:
    with Journey.open(south, clock=small.edge.clock, user="Bo", version="t") as there:
        pack = there.pack(tmp_path / "south.zip")
    page = job_of(small, "Evidence").page
    told: list[str] = []
    small.told.connect(told.append)
    page.open_form("take in")
    filed(page, pack=str(pack))
    assert f"the pack is signed with {signing_fingerprint()}" in told[-1]


@pytest.mark.parametrize(
    ("texts", "field", "said"),
    [
        ({"copy": "", "pack": ""}, "copy", "which copy?"),
        ({"copy": "one", "pack": "two"}, "pack", "one copy at a time"),
        ({"copy": "", "pack": "nowhere.zip"}, "pack", "it is not there"),
    ],
)
def test_a_copy_that_is_none_is_refused_beside_its_field(
    small, job_of, type_in, texts, field, said
) -> None:
    page = job_of(small, "Evidence").page
    page.open_form("take in")
    form = type_in(page, **texts)
    assert said in form.fields[field].error
    assert page.form_open is form


def test_a_strangers_folder_is_refused_and_the_form_stays(
    small, job_of, type_in, tmp_path: Path, qtbot
) -> None:
    (tmp_path / "stranger").mkdir()
    (tmp_path / "stranger" / "ledger.db").write_bytes(b"no database")
    page = job_of(small, "Evidence").page
    page.open_form("take in")
    entries = small.round.entries
    form = type_in(page, copy=str(tmp_path / "stranger"))
    qtbot.waitUntil(lambda: not form.fault.isHidden())
    assert "Not done" in form.fault.text()
    assert small.round.entries == entries
