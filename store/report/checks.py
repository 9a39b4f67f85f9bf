"""One check of the round -> its row in the report: verdict, limit line, attempts, who and when."""

from typing import Any

from annotate.coverage import Known
from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.evidence import Derived, Marked, Read
from store.report import coverages, words
from store.report.drawing import Lane, agreement_strip, limit_line
from store.report.figures import NBSP, Saying, given, moment, saying
from store.report.words import Bits
from store.round import Attempt, Check, Round

_LANES = 6  # on one limit line; all attempts are in the table
_RATIOS = {"covered", "covered of near", "covered of far"}


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
        "readings": _attempts_table(check, known),
        "notes": _notes(check, known),
        "expert": expert,
        "budget": coverages.budget(marked.result) if marked else [],
        "method": coverages.method(marked, check.location) if marked else "",
    }


def lead(check: Check) -> Bits:
    """Return the check in one line: sign, word, value, waiver."""
    bits: Bits = [{"state": check.state}]
    said = value_said(check)
    if said:
        bits.append(f"  {said}")
    elif check.state == "not measured":
        bits.append(f"  {words.why_not(check)}")
    if check.waiver is not None:
        bits += ["  ", {"slip": "waived"}]
    return bits


def value_said(check: Check) -> str:
    """Return the value that counts in words, empty if there is none."""
    current = check.current
    if current is None:
        return ""
    if current.answer is not None:
        return "answered yes" if current.answer else "answered no"
    shown = displayed(check, current)
    if shown is None:
        return current.why_no_value
    quantity, say = shown
    if check.characteristic.kind != "coverage":
        return say.value(quantity.value)
    return _coverage_said(check, quantity, say)


def _coverage_said(check: Check, quantity: Quantity, say: Saying) -> str:
    limit = check.characteristic.limit
    if limit is not None and limit.of not in _RATIOS:
        what = {"pin": "largest straight pin", "open area": "open area"}[limit.of]
        return f"{what} {say.value(quantity.value)}"
    of = words.covered_of(limit, check.location)
    return f"{say.value(quantity.value)} covered, {say.value(100 - quantity.value)} open, {of}"


def displayed(check: Check, attempt: Attempt) -> tuple[Quantity, Saying] | None:
    """Return an attempt's value in the unit it is printed in (the limit's), and how to say it."""
    if attempt.value is None:
        return None
    limit = check.characteristic.limit
    side = (limit.at_most or limit.at_least) if limit else None
    kind = check.characteristic.kind
    quantity = attempt.value
    if side is not None:
        try:
            quantity = quantity.to(side.unit)
        except UnitMismatch:
            side = None
    if kind == "coverage" and quantity.unit == "1":
        quantity = quantity.to("%")
    return quantity, saying(quantity, depth=kind == "depth")


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
        lanes.append(Lane(_lane_label(check, attempt), shown[0], attempt.verdict))
    if say is None:
        return None
    ends = (0.0, 100.0) if say.unit == "%" and limit.of in _RATIOS else None
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
        sentences.append([_sentence(check.why)])
    last = [f"Measured from {check.characteristic.datum}."] if check.characteristic.datum else []
    if len(check.attempts) > 1:
        last.append(f"{len(check.attempts)} attempts were entered; all of them are shown.")
    if last:
        sentences.append([" ".join(last)])
    return sentences


def _about(check: Check, current: Attempt, known: Round) -> list[Bits]:
    shown = displayed(check, current)
    if shown is None:
        return [[_sentence(current.why_no_value)]] if current.why_no_value else []
    quantity, say = shown
    if check.characteristic.kind == "agreement" and isinstance(current.record, Derived):
        return [_agreement_said(quantity, current, known)]
    if current.verdict is not None:
        judged = words.judged(quantity, current.verdict, say)
        return [[*judged, f" {words.clearance(current.verdict, say)}"]]
    low, high = quantity.interval()
    return [
        [
            {"bold": say.value(quantity.value)},
            f", 95{NBSP}% interval {say.interval(low, high)}. Recorded; the plan gives no limit.",
        ]
    ]


def _sentence(clause: str) -> str:
    return f"{clause[:1].upper()}{clause[1:]}" + ("" if clause.endswith(".") else ".")


def _agreement_said(quantity: Quantity, current: Attempt, known: Round) -> Bits:
    agrees = current.verdict is not None and current.verdict.state == "within"
    number = f"E n = {quantity.value:.2f}".replace("E n", "En")
    rows = _routes(current, known)
    gap = ""
    if len(rows) == 2:  # noqa: PLR2004 - an agreement has two sides
        (_, one), (_, two) = rows
        say = saying(one)
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
                if attempt.stamp.entry == entry and attempt.value is not None:
                    label = f"{check.key}, entry{NBSP}{attempt.stamp.seq}"
                    routes.append((label, attempt.value))
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


def _attempts_table(check: Check, known: Round) -> dict[str, Any] | None:
    if not check.attempts:
        return None
    return {
        "heads": ["no.", "as entered", "value", "with", "when, who", "verdict"],
        "widths": ["auto", 1.25, 1.1, 1, 2, 1.5],
        "right": [],
        "rows": [_attempt_row(check, attempt, known) for attempt in check.attempts],
    }


def _attempt_row(check: Check, attempt: Attempt, known: Round) -> list[str | Bits]:
    shown = displayed(check, attempt)
    typed, tool = _entered(attempt, known)
    value = shown[1].value(shown[0].value) if shown else _yes_no(attempt)
    crossed = attempt.struck is not None
    read_at = attempt.record.read_at if isinstance(attempt.record, Read) else ""
    when = f"read {moment(read_at)}; entered " if read_at else ""
    verdict: Bits
    if crossed:
        verdict = ["struck"]
    elif attempt.void:
        verdict = ["no longer counts"]
    elif attempt.verdict is not None:
        verdict = [{"state": attempt.verdict.state, "size": 10.5}]
    elif attempt.answer is not None:
        verdict = [{"state": "within" if attempt.answer else "outside", "size": 10.5}]
    else:
        verdict = ["no limit"]
    return [
        str(attempt.number),
        [{"struck": typed}] if crossed else [{"tight": typed}],
        [{"struck": value}] if crossed and value else value,
        [{"tight": tool}],
        f"{when}{words.signed(attempt.stamp)}",
        verdict,
    ]


def _yes_no(attempt: Attempt) -> str:
    return "" if attempt.answer is None else "yes" if attempt.answer else "no"


def _entered(attempt: Attempt, known: Round) -> tuple[str, str]:
    """Return what was entered, exactly as typed, and with what it was measured."""
    record = attempt.record
    if isinstance(record, Read):
        face = f" {record.face}" if record.face and record.face not in record.text.upper() else ""
        return f"{record.text}{face}", record.gauge or "no gauge named"
    if isinstance(record, Marked):
        covered = record.result.covered
        said = ""
        if isinstance(covered, Known):
            quantity = covered.quantity.to("%")
            say = saying(quantity)
            said = f"{say.value(quantity.value)} covered, {say.value(100 - quantity.value)} open"
        return said or "rims placed", f"photo {record.photo[:8]}"
    seqs = [
        f"entry{NBSP}{a.stamp.seq}"
        for entry in record.from_entries
        for c in known.checks
        for a in c.attempts
        if a.stamp.entry == entry
    ]
    return f"from {' and '.join(seqs)}", "computed"


def _notes(check: Check, known: Round) -> list[Bits]:
    notes: list[Bits] = []
    for attempt in check.attempts:
        if attempt.struck is not None:
            notes.append(words.struck(attempt.struck, attempt.stamp))
        elif attempt.void:
            notes.append([f"Attempt {attempt.number} no longer counts: {attempt.void}."])
        if isinstance(attempt.record, Read) and attempt.record.unit_assumed:
            unit = attempt.record.quantity.unit if attempt.record.quantity else ""
            notes.append(
                [f"Attempt {attempt.number}: no unit was typed; {unit} was taken for this box."]
            )
    notes += _warnings(check)
    used = {a.record.gauge for a in check.attempts if isinstance(a.record, Read)}
    notes += [words.gauge_said(g) for g in known.plan.gauges if g.id in used]
    notes += [words.waived(w, w.hold_point) for w in check.waivers]
    if check.characteristic.caution:
        notes.append([{"bold": "Caution. "}, check.characteristic.caution])
    limit = check.characteristic.limit
    if limit is not None and check.current is None:
        told = " and ".join(
            f"{word} {given(side)}"
            for word, side in (("at least", limit.at_least), ("at most", limit.at_most))
            if side is not None
        )
        notes.append([f"Asked for: {told}; source: {limit.source}."])
    return notes


def _warnings(check: Check) -> list[Bits]:
    """Return each warning of a measurement once, with the attempts it belongs to."""
    found: dict[str, list[str]] = {}
    for attempt in check.attempts:
        if isinstance(attempt.record, Marked):
            for warning in attempt.record.result.warnings:
                found.setdefault(warning, []).append(str(attempt.number))
    return [
        [f"Attempt{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}: {_sentence(warning)}"]
        for warning, numbers in found.items()
    ]
