"""What is under a closed cover goes out of sight: its rows fold to one line. No Qt in here."""

from capture.desk.walk.lying import WORST_FIRST
from capture.desk.walk.row import FoldedRow, HoldRow, LocationRow, Row
from capture.desk.walk.when import clock
from capture.words.quantities import count_text
from store.round import Round


def folded(known: Round, rows: list[Row]) -> list[Row]:
    """Return the rows with each run of hidden ones folded; a run one stands in stays unfolded.

    A closed cover under another closed one is out of sight too.
    """
    buried = _buried(known)
    out: list[Row] = []
    run: list[Row] = []
    for row in rows:
        if _is_out_of_sight(row, buried):
            run.append(row)
            continue
        out += _fold(known, run)
        run = []
        out.append(row)
    return out + _fold(known, run)


def _buried(known: Round) -> set[str]:
    """Return the hold points that lie under a closed one."""
    return {
        below
        for hold in known.holds
        if hold.closed
        for below in known.plan.closed_before(hold.hold_point.id)
    }


def _is_out_of_sight(row: Row, buried: set[str]) -> bool:
    if isinstance(row, HoldRow):
        return row.key in buried
    return isinstance(row, LocationRow) and row.hidden


def _fold(known: Round, run: list[Row]) -> list[Row]:
    locations = [row for row in run if isinstance(row, LocationRow)]
    if not locations or any(row.here for row in run if not isinstance(row, FoldedRow)):
        return run
    covers = len(run) - len(locations)
    text = f"{count_text(len(locations), 'location')}, now hidden"
    left = sum(row.lying.open for row in locations)
    waived = sum(row.lying.waived for row in locations)
    if left:
        detail = f"{left} unproven"
    else:
        detail = f"all proven{_last(known, {row.key for row in locations})}"
        detail = f"{waived} waived, the rest proven" if waived else detail
    detail += f", {count_text(covers, 'cover')}" if covers else ""
    first = locations[0].key
    there = {row.lying.state for row in locations}
    worst = next(state for state in WORST_FIRST if state in there)
    return [FoldedRow(f"folded {first}", first, text, detail, worst)]


def _last(known: Round, locations: set[str]) -> str:
    """Return ", last 09:12": when the last of what proves them was filed."""
    at = [
        check.current.stamp.at
        for place in known.places
        if place.location.id in locations
        for check in place.checks
        if check.current
    ]
    return f", last {clock(max(at), known.last.at)}" if at else ""
