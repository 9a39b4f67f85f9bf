"""One check of the round -> its row in the report: verdict, limit line, attempts, who and when."""

from typing import Any

from annotate.quantity import Quantity
from store.evidence import Derived, Marked
from store.report import attempts, coverages, words
from store.report.drawing import Lane, agreement_strip, limit_line
from store.report.figures import NBSP, Saying, saying
from store.report.values import RATIOS, displayed, lead
from store.report.words import Bits
from store.round import Attempt, Check, Round

_LANES = 6  # on one limit line; all attempts are in the table


def check_row(check: Check, known: Round, *, led: bool) -> dict[str, Any]:
    """Return everything that is printed about one check; ``led``: with its verdict on top."""
    current = check.current
    marked = current.record if current and isinstance(current.record, Marked) else None
    expert = None
    if marked is not None and current is not None:
        expert = coverages.expert_table(marked, check.location, current.number)
    return {
        "name": words.kind_name(check.characteristic),
        "question": check.characteristic.question,
        "aside": f"Check {check.key}.",
        "lead": lead(check) if led else [],
        "line": _line(check),
        "agreement": _strip(check, known),
        "sentences": _sentences(check, known),
        "readings": attempts.table(check, known),
        "notes": attempts.notes(check, known),
        "expert": expert,
        "budget": coverages.budget(marked.result) if marked else [],
        "method": coverages.method(marked, check.location) if marked else "",
    }


def _line(check: Check) -> dict[str, Any] | None:
    limit = check.characteristic.limit
    if limit is None or check.characteristic.kind in {"agreement", "yes-no"}:
        return None
    lanes = []
    say: Saying | None = None
    for attempt in check.attempts:
        shown = displayed(check, attempt)
        if shown is None or attempt.struck or attempt.verdict is None:
            continue
        if attempt.verdict.state == "not measured":
            continue
        if say is None or attempt is check.current:
            say = shown[1]
        lanes.append(Lane(_lane_label(check, attempt), shown[0], attempt.verdict, shown[1]))
    if say is None:
        return None
    ends = (0.0, 100.0) if say.unit == "%" and limit.of in RATIOS else None
    return limit_line(tuple(lanes[-_LANES:]), limit, say, ends=ends)


def _lane_label(check: Check, attempt: Attempt) -> str:
    if len(check.attempts) == 1:
        return "as measured"
    standing = ", counts" if attempt is check.current else ", void" if attempt.void else ""
    return f"attempt {attempt.number}{standing}"


def _sentences(check: Check, known: Round) -> list[Bits]:
    current = check.current
    sentences: list[Bits] = []
    if current is not None:
        sentences += _about(check, current, known)
    if check.why and check.state != "not measured":
        sentences.append([words.sentence(check.why)])
    last = [f"Measured from {check.characteristic.datum}."] if check.characteristic.datum else []
    if len(check.attempts) > 1:
        last.append(f"{len(check.attempts)} attempts were entered; all of them are shown.")
    if last:
        sentences.append([" ".join(last)])
    return sentences


def _about(check: Check, current: Attempt, known: Round) -> list[Bits]:
    shown = displayed(check, current)
    if shown is None:
        return [[words.sentence(current.why_no_value)]] if current.why_no_value else []
    quantity, say = shown
    if check.characteristic.kind == "agreement" and isinstance(current.record, Derived):
        return [_agreement_said(quantity, current, known)]
    if current.verdict is not None:
        judged = words.judged(quantity, current.verdict, say)
        clear = words.clearance(quantity, current.verdict, say)
        return [[*judged, f" {clear}"] if clear else judged]
    if quantity.unit == "count":
        return [[{"bold": say.value(quantity.value)}, ". Recorded; the plan gives no limit."]]
    low, high = quantity.interval()
    return [
        [
            {"bold": say.value(quantity.value)},
            f", 95{NBSP}% interval {say.interval(low, high)}. Recorded; the plan gives no limit.",
        ]
    ]


def _agreement_said(quantity: Quantity, current: Attempt, known: Round) -> Bits:
    agrees = current.verdict is not None and current.verdict.state == "within"
    number = f"En = {quantity.value:.2f}"
    rows = _routes(current, known)
    gap = ""
    if len(rows) == 2:  # noqa: PLR2004 - an agreement has two sides
        (_, one), (_, two) = rows
        say = max(saying(one), saying(two), key=lambda say: say.decimals)
        gap = f"difference {say.value(abs(one.value - two.to(one.unit).value))}; "
    verdict = "They agree: " if agrees else "They do not agree: "
    advice = "" if agrees else " Read again whichever of the two is easier to repeat."
    return [
        {"bold": verdict},
        (
            f"{gap}{number}, the difference over the joint 95{NBSP}% uncertainty; anything up to 1 "
            f"counts as agreement.{advice}"
        ),
    ]


def _routes(current: Attempt, known: Round) -> list[tuple[str, Quantity]]:
    """Return the two values that a derived value was worked out from, in one unit."""
    if not isinstance(current.record, Derived):
        return []
    routes = []
    for entry in current.record.from_entries:
        for check in known.checks:
            for attempt in check.attempts:
                shown = displayed(check, attempt) if attempt.stamp.entry == entry else None
                if shown is not None:
                    label = f"{check.key}, entry{NBSP}{attempt.stamp.seq}"
                    routes.append((label, shown[0]))
    if routes:
        unit = routes[0][1].unit
        routes = [(label, quantity.to(unit)) for label, quantity in routes]
    return routes


def _strip(check: Check, known: Round) -> dict[str, Any] | None:
    current = check.current
    if check.characteristic.kind != "agreement" or current is None:
        return None
    routes = _routes(current, known)
    if len(routes) != 2:  # noqa: PLR2004 - an agreement has two sides
        return None
    of = check.characteristic.of or ("", "")
    depth = known.plan.characteristic(of[0])[1].kind == "depth"
    finest = max((q for _, q in routes), key=lambda q: saying(q).decimals)
    return agreement_strip(routes, saying(finest, depth=depth))
