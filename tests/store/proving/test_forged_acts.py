"""Every kind of entry altered or left out, with the chain and the heads written anew after it."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from annotate.quantity import Quantity
from store.book import Book
from store.change import NeverFitted
from store.characteristic import Limit, Spot
from store.codec import Entry
from store.evidence import (
    Closed,
    CloseRefused,
    DebrisLogged,
    Derived,
    Evidence,
    Fitted,
    GaugeCleared,
    GaugeSuspected,
    JobStarted,
    Judged,
    KitCounted,
    MapPlaced,
    Marked,
    OwnerSaid,
    PaperKept,
    PhotoTaken,
    PlanChanged,
    Read,
    Reopened,
    Reworked,
    SlipAsked,
    Struck,
    TakenOut,
    Waiver,
)
from store.verify import verify
from tests.store import small_job
from tests.store.bench_job import (
    mm,
)
from tests.store.forgery import redo
from tests.store.whole_job import whole_job

replace = msgspec.structs.replace


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job with at least one entry of every kind, refused and closed, reopened and closed."""
    root = tmp_path_factory.mktemp("whole") / "book"
    whole_job(root)
    return root


@pytest.fixture
def root(whole: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(whole, tmp_path / "book"))


def codes(root: Path) -> set[str]:
    return {finding.code for finding in verify(root, measure=small_job.measure)}


def forged(
    kind: type[Evidence], change_: Callable[[Any], Evidence | None], nth: int = 0
) -> Callable[[Entry], Evidence | None]:
    """Return a forger of the nth record of one kind; from the end where negative."""
    seen = -1

    def forge(entry: Entry) -> Evidence | None:
        nonlocal seen
        if isinstance(entry.evidence, kind):
            seen += 1
            if seen == nth:
                return change_(entry.evidence)
        return entry.evidence

    return forge


def gone(_: Evidence) -> None:
    return None


def test_a_whole_job_is_sound_and_has_every_kind_of_entry(root: Path) -> None:
    with Book.open(root, read_only=True) as book:
        kinds = {type(entry.evidence) for entry in book.entries()}
    assert kinds >= {
        Closed, CloseRefused, DebrisLogged, Derived, Fitted, GaugeCleared, GaugeSuspected,
        JobStarted, Judged, KitCounted, MapPlaced, Marked, OwnerSaid, PaperKept, PhotoTaken,
        PlanChanged, Read, Reopened, Reworked, SlipAsked, Struck, TakenOut, Waiver,
    }  # fmt: skip
    assert codes(root) == set()
    redo(root, lambda entry: entry.evidence)
    assert codes(root) == set()


def wider(changed: PlanChanged) -> PlanChanged:
    most = Limit("p. 4", at_most=Quantity(99.0, "N.m"))
    return replace(changed, change=replace(changed.change, limit=most))


def smaller_zero(record: Read) -> Read:
    assert record.zero is not None
    assert record.quantity is not None
    zero = replace(record.zero, size=replace(record.zero.size, value=59.9))
    size = replace(record.quantity, value=59.9 + 0.052)
    return replace(record, zero=zero, quantity=size)


def better(judged: Judged) -> Judged:
    assert judged.other is not None
    return replace(judged, other=replace(judged.other, state="outside"))


def sharper(start: JobStarted) -> JobStarted:
    gauges = tuple(replace(g, permissible_error=mm(0.0001)) for g in start.plan.gauges)
    return replace(start, plan=replace(start.plan, gauges=gauges))


ALTERED = [
    ("a rework left out", Reworked, gone, 0, "refusal-differs"),
    ("a rework of something else", Reworked, lambda r: replace(r, scope=("G3",)), 0,
     "refusal-differs"),
    ("a rework of a worked-out check", Reworked, lambda r: replace(r, scope=("J1.round",)), 0,
     "not-allowed"),
    ("a suspicion left out", GaugeSuspected, gone, 0, "refusal-differs"),
    ("a suspicion since later", GaugeSuspected, lambda s: replace(s, since="2026-04-01"), 0,
     "refusal-differs"),
    ("a suspicion since earlier", GaugeSuspected, lambda s: replace(s, since="2026-02-01"), 0,
     "refusal-differs"),
    ("a suspicion of another gauge", GaugeSuspected, lambda s: replace(s, gauge="CAL-1"), 0,
     "refusal-differs"),
    ("a clearing left out", GaugeCleared, gone, 0, "closed-unproven"),
    ("a replaced piece made the same one", Fitted, lambda f: replace(f, identity="no. 4"), 1,
     "refusal-differs"),
    ("another part fitted", Fitted, lambda f: replace(f, part="plug-4"), 2, "closed-unproven"),
    ("a plug that went in left out", Fitted, gone, 2, "closed-unproven"),
    ("a plug out left in", TakenOut, lambda t: replace(t, location="J9"), 0, "not-in-plan"),
    ("a limit altered", PlanChanged, wider, 0, "limit-differs"),
    ("a limit's change left out", PlanChanged, gone, 0, "limit-differs"),
    ("a later limit's change left out", PlanChanged, gone, 1, "limit-differs"),
    ("the deciding limit left out", PlanChanged, gone, 2, "limit-differs"),
    ("a check added left out", PlanChanged, gone, 5, "not-in-plan"),
    ("never fitted with another photo", PlanChanged,
     lambda p: replace(p, change=NeverFitted("G4", "ab" * 32)), 3, "cites-nothing"),
    ("never fitted left out", PlanChanged, gone, 3, "closed-unproven"),
    ("never fitted elsewhere", PlanChanged,
     lambda p: replace(p, change=NeverFitted("J1", p.change.photo)), 3, "cites-nothing"),
    ("another decisive reading", Derived, lambda d: replace(d, decisive=d.from_entries[:1]), 1,
     "derived-differs"),
    ("a worked-out value left out", Derived, gone, -1, "derived-missing"),
    ("the verdict beside", Judged, better, 0, "verdict-differs"),
    ("the verdict beside left out", Judged, lambda j: replace(j, other=None), 0, "limit-differs"),
    ("a verdict after a change left out", Judged, gone, -2, "verdict-missing"),
    ("a zero of another size", Read, smaller_zero, 8, "not-allowed"),
    ("a zero of another entry", Read,
     lambda r: replace(r, zero=replace(r.zero, entry="ab" * 32)), 8, "cites-nothing"),
    ("a reading at a spot there is not", Read, lambda r: replace(r, spot=Spot("middle", "X")), 0,
     "not-allowed"),
    ("a reading moved to another spot", Read, lambda r: replace(r, spot=Spot("rear", "X")), 0,
     "derived-strange"),
    ("a reading of a gauge that is sharper", JobStarted, sharper, 0,
     "reading-differs"),
    ("no debris log", DebrisLogged, gone, 0, "closed-unproven"),
    ("a debris log that was not clean", DebrisLogged, lambda d: replace(d, clean=False), 0,
     "closed-unproven"),
    ("a waiver left out", Waiver, gone, 0, "closed-unproven"),
    ("a waiver of what was proven", Waiver, lambda w: replace(w, key="J1.size"), 0,
     "waiver-differs"),
    ("a reopening left out", Reopened, gone, 0, "not-allowed"),
    ("a closing left out before a reopening", Closed, gone, 0, "not-allowed"),
    ("a refusal made a closing", CloseRefused, lambda r: Closed(r.hold_point), 1,
     "closed-unproven"),
    ("blind marks made the first", Marked, lambda m: replace(m, blind=False), 1, "not-allowed"),
    ("first marks made blind", Marked, lambda m: replace(m, blind=True), 0, "not-allowed"),
    ("a strike of a verdict", Struck, lambda s: s, 0, ""),
    ("a map on a photo that is not there", MapPlaced, lambda m: replace(m, photo="ab" * 32), 0,
     "cites-nothing"),
    ("a kit line that is not there", KitCounted, lambda k: replace(k, line="bolts"), 0,
     "not-in-plan"),
    ("another paper", PaperKept, lambda p: replace(p, paper="ab" * 32), 0, "paper-missing"),
    ("a paper of a check that is not there", PaperKept, lambda p: replace(p, keys=("J9.x",)), 0,
     "not-in-plan"),
    ("a photo of a gauge that is not there", PhotoTaken, lambda p: replace(p, gauge="MIC-9"), 0,
     "not-in-plan"),
    ("a question about a check that is not there", SlipAsked, lambda s: replace(s, key="G9.x"), 0,
     "not-in-plan"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "alter", "nth", "code"), [row[1:] for row in ALTERED],
                         ids=[row[0] for row in ALTERED])  # fmt: skip
def test_an_altered_entry_is_found_though_the_chain_is_whole(
    root: Path, kind: type[Evidence], alter: Callable[[Any], Evidence | None], nth: int, code: str
) -> None:
    with Book.open(root, read_only=True) as book:
        there = sum(isinstance(entry.evidence, kind) for entry in book.entries())
    redo(root, forged(kind, alter, nth if nth >= 0 else there + nth))
    assert code in codes(root) if code else codes(root) == set()


def test_a_value_replaced_since_and_left_out_with_its_verdict_is_missed(root: Path) -> None:
    with Book.open(root, read_only=True) as book:
        made = (e for e in book.entries() if isinstance(e.evidence, Derived))
        first = next(e.hash for e in made if e.evidence.key == "G3.twice")

    def leave_out(entry: Entry) -> Evidence | None:
        verdict = isinstance(entry.evidence, Judged) and entry.evidence.subject == first
        return None if entry.hash == first or verdict else entry.evidence

    redo(root, leave_out)
    assert codes(root) == {"derived-missing"}


def test_a_strike_of_what_follows_by_itself_is_found(root: Path) -> None:
    with Book.open(root, read_only=True) as book:
        verdict = next(e.hash for e in book.entries() if isinstance(e.evidence, Derived))
    redo(root, forged(Struck, lambda s: replace(s, entry=verdict)))
    assert "not-allowed" in codes(root)


@pytest.mark.parametrize(
    ("kind", "alter"),
    [
        (OwnerSaid, gone),
        (OwnerSaid, lambda said: replace(said, words="do not go on")),
        (KitCounted, gone),
        (TakenOut, gone),
        (SlipAsked, gone),
        (PaperKept, lambda paper: replace(paper, what="another sheet")),
        (MapPlaced, gone),
        (Waiver, lambda waiver: replace(waiver, owner_agreed="in writing")),
        (Struck, gone),
        (GaugeCleared, lambda said: replace(said, reason="looks good")),
        (Fitted, lambda piece: replace(piece, identity="no. 44")),
        (DebrisLogged, lambda log: replace(log, how="blown")),
    ],
)
def test_what_nothing_follows_from_is_not_found_in_the_folder_alone(
    root: Path, kind: type[Evidence], alter: Callable[[Any], Evidence | None]
) -> None:
    """Only a head or a copy that left the bench before shows these: verify's page says so."""
    redo(root, forged(kind, alter))
    found = codes(root)
    assert found == set()
