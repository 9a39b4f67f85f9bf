"""What happened at the bench beside the values: slips asked, plan changes, strikes, second eyes."""

from store.attempt import numbered
from store.branches.merges import MergeTold
from store.change import (
    Change,
    CheckAdded,
    DecidingSet,
    GaugeSet,
    HoldAdded,
    KitLineSet,
    LimitSet,
    LocationAdded,
    LocationMoved,
    LocationRenamed,
    NeverFitted,
    PartAdded,
)
from store.codec import Entry
from store.evidence import (
    Closed,
    Evidence,
    Fitted,
    Marked,
    OwnerSaid,
    PaperKept,
    PhotoTaken,
    PlanChanged,
    Read,
    SlipAsked,
    Struck,
    TakenOut,
    Waiver,
)
from store.report import words
from store.report.figures import NBSP, count, listed, moment
from store.report.limits import limit_in_words
from store.report.trail import Trail
from store.report.values import displayed, entered
from store.report.words import Bits
from store.round import Round


def corrections(entries: tuple[Entry, ...]) -> list[list[str | Bits]]:
    """Return a row for everything struck, in the order in which it was struck."""
    by_hash = {entry.hash: entry for entry in entries}
    home = entries[0].bench
    rows: list[list[str | Bits]] = []
    seen = set[str]()
    for entry in entries:
        if not isinstance(entry.evidence, Struck) or entry.evidence.entry in seen:
            continue
        seen.add(entry.evidence.entry)
        wrong = by_hash.get(entry.evidence.entry)
        where, what = _what(wrong.evidence) if wrong else ("", "an entry that is not there")
        seq = f" strikes {numbered(wrong, home)}" if wrong else ""
        by = f"{entry.by}, {moment(entry.at)}; {words.entry_said(entry, home)}{seq}"
        rows.append([where, [{"struck": what}], entry.evidence.reason, by])
    return rows


def merges(trail: Trail) -> list[list[str | Bits]]:
    """Return a row for every record of a merge: what came, what both did, who did it."""
    rows: list[list[str | Bits]] = []
    for merge in trail.merges:
        entry = merge.entry
        said: Bits = []
        for clash in merge.clashes:
            said += [{"break": True}] if said else []
            said.append(clash.words)
        if merge.fork is not None:
            said += [{"break": True}] if said else []
            said.append({"bold": "Fork: "})
            said.append(
                f"a copy of {merge.fork.bench} went on otherwise from entry {merge.fork.seq}; "
                "nothing of that branch counts, and it is kept."
            )
        by = f"{entry.by}, {moment(entry.at)}; entry{NBSP}{entry.seq} of {entry.bench}"
        rows.append([_taken(merge), said, by])
    return rows


def _taken(merge: MergeTold) -> str:
    if merge.elsewhere:
        return f"by {merge.entry.bench}, before"
    if merge.taken:
        counts = (f"{count(n, 'entry', 'entries')} of {b}" for b, n in merge.taken.items())
        return listed(list(counts))
    return "nothing" if merge.fork else f"{merge.entry.bench} began from a copy"


def _what(evidence: Evidence) -> tuple[str, str]:  # noqa: PLR0911 - a line for each kind
    """Return what an entry belongs to, and what it said in a few words."""
    match evidence:
        case Read(key=key):
            spot = f"{evidence.spot.words}: " if evidence.spot.words else ""
            return key, f"{spot}{entered(evidence)}"
        case Marked(key=key):
            return key, f"marks on photo {evidence.photo[:8]}"
        case PhotoTaken(location=location):
            return location, f"photo {evidence.photo[:8]}, {evidence.role}"
        case Waiver(key=key):
            return key, "waiver"
        case Closed(hold_point=hold):
            return "hold point", f"closing of {hold}"
        case Fitted(part=part):
            return part, f"{evidence.identity} fitted"
        case TakenOut(location=location):
            return location, "plug taken out"
        case PaperKept():
            return evidence.location or "paper", evidence.what
        case OwnerSaid():
            return "owner", evidence.words
    where = next(
        (str(getattr(evidence, name)) for name in ("key", "location", "hold_point", "gauge", "line")
         if hasattr(evidence, name)), "",
    )  # fmt: skip
    return where, str(evidence.__struct_config__.tag)


def slips(known: Round) -> list[list[str | Bits]]:
    """Return a row for every typed reading that was asked about before it was filed."""
    rows: list[list[str | Bits]] = []
    for check in known.checks:
        for told in check.slips:
            record = told.record
            if isinstance(record, SlipAsked):
                spot = f", {record.spot.words}" if record.spot.words else ""
                answer = "stands" if record.answer == "stands" else "withdrawn, not filed"
                said = f"{answer}: {words.quoted(record.words)}" if record.words else answer
                rows.append(
                    [
                        f"{check.key}{spot}",
                        [{"tight": record.text}],
                        "; ".join(record.suspected),
                        said,
                        words.signed(told.stamp, known.home),
                    ]
                )
    return rows


def changes(known: Round) -> list[list[str | Bits]]:
    """Return a row for every change of the plan at the bench, in order."""
    rows: list[list[str | Bits]] = []
    for told in known.changes:
        if isinstance(told.record, PlanChanged):
            said = change_said(told.record.change, known)
            what: str | Bits = [{"struck": said}] if told.struck else said
            signed = words.signed(told.stamp, known.home)
            rows.append([what, told.record.reason or "\u2013", signed])
    return rows


def change_said(change: Change, known: Round) -> str:  # noqa: C901, PLR0911 - a line for each kind
    """Return a change of the plan in words."""
    match change:
        case LocationAdded(location=location):
            return f"location {location.id} added: {location.name}"
        case LocationRenamed(location=location, name=name):
            return f"location {location} renamed: {name}"
        case LocationMoved(location=location, after=after):
            return f"location {location} moved: {'first' if after == 'first' else f'after {after}'}"
        case NeverFitted(location=location, photo=photo):
            return f"location {location} was never fitted on this block, photo {photo[:8]}"
        case CheckAdded(location=location, check=check):
            return f"check {location}.{check.id} added: {check.question}"
        case DecidingSet(key=key, judged_by=judged_by):
            return f"{key}: the {judged_by} limit decides"
        case HoldAdded(hold_point=hold):
            return f"hold point {words.hold_name(hold)} added"
        case GaugeSet(gauge=gauge):
            return f"gauge {gauge.id} registered: {gauge.kind}"
        case PartAdded(part=part):
            return f"part {part.id} added: {part.name}"
        case KitLineSet(line=line):
            return f"kit line {line.id} set: {line.count} of {line.name}"
        case LimitSet():
            return _limit_set(change, known)


def _limit_set(change: LimitSet, known: Round) -> str:
    if change.limit is None:
        return f"{change.key}: the {change.which} limit was taken away"
    depth = known.check(change.key).characteristic.is_told_as_depth
    return (
        f"{change.key}: {change.which} limit {limit_in_words(change.limit, depth=depth)}; "
        f"source: {change.limit.source}"
    )


def seconds(known: Round, trail: Trail) -> list[list[str | Bits]]:
    """Return a row for every pair of marks placed by two people, the second blind."""
    rows: list[list[str | Bits]] = []
    for check in known.checks:
        for second in check.seconds:
            first = trail.attempt(second.second_to)
            before = displayed(*first) if first else None
            after = displayed(check, second.attempt)
            agree = f"can't be told: {second.why}"
            if second.en is not None:
                agree = f"{'yes' if second.en <= 1 else 'no'}, En{NBSP}{second.en:.2f}"
            rows.append(
                [
                    check.key,
                    f"{before[1].value(before[0].value)}, {first[1].stamp.by}"
                    if before and first
                    else "\u2013",
                    f"{after[1].value(after[0].value)}, {second.attempt.stamp.by}"
                    if after
                    else second.attempt.stamp.by,
                    agree,
                ]
            )
    return rows
