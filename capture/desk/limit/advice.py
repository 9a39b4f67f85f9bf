"""Check -> what to do next about it, and what its second route says."""

from annotate.result import Coverage, Known
from capture.desk.limit.clauses import capital
from capture.words.checks import spot_text
from capture.words.coverages import camera_move
from capture.words.quantities import printed, quantity_text
from store.characteristic import Characteristic, Spot
from store.evidence import Marked, Read
from store.judge import limit_for
from store.plan import key_of
from store.report.figures import Saying
from store.round import Check, Round

_ROUTES = {"coverage": "the photo", "pin": "the pin"}


def advice(check: Check) -> tuple[str, ...]:
    """Return what to do next about a check, a sentence each; nothing where it is proven."""
    if check.hidden and not (check.proven or check.waiver):
        return ("It is hidden now: to work on it, open the hold point again.",)
    if check.suspect:
        return ("Read it again with another gauge, or clear the gauge.",)
    if check.waiver is not None or check.proven:
        return ()
    look_up = ("Look up the limit and set it.",)
    if check.state == "not measured":
        asked = check.characteristic
        lacks = bool(asked.asks) and limit_for(asked) is None
        return (*_to_measure(check), *(look_up if lacks else ()))
    if check.state == "no limit":
        return look_up
    outside = check.state == "outside"
    return (_outside(check.characteristic) if outside else _too_close(check),)


def _to_measure(check: Check) -> tuple[str, ...]:
    characteristic = check.characteristic
    if check.missing:
        spot = check.missing[0]
        return (f"Read {spot_text(spot) if spot != Spot() else 'it'}; {_to_go(check)}.",)
    if characteristic.is_worked_out:
        return ()
    to_do = {
        "coverage": "Take a close-up and place the rims on it.",
        "yes-no": "Look, and answer yes or no.",
        "note": "Write it down.",
        "pin": "Try pins: the largest that passes, the smallest that stops.",
    }
    return (to_do.get(characteristic.kind, "Measure it and type the reading."),)


def _to_go(check: Check) -> str:
    left = len(check.missing)
    return "it is the last one" if left == 1 else f"{left} to go"


def _outside(characteristic: Characteristic) -> str:
    if characteristic.kind == "agreement":
        return "Measure both again: one of them is wrong, or surer than it can be."
    if characteristic.kind == "yes-no":
        return "Put it right and look again, or have it waived."
    return "Work on it and measure it again, or have it waived."


def _too_close(check: Check) -> str:
    record = check.current.record if check.current else None
    if isinstance(record, Marked):
        return photo_again(record.result)
    if check.characteristic.kind == "pin":
        return "Try pins between the one that passed and the one that stopped."
    if check.characteristic.formula:
        return f"Read again, finer or more often: {check.characteristic.formula}."
    gauge = f" than {record.gauge}" if isinstance(record, Read) and record.gauge else ""
    return f"Read it again more often, or with a finer gauge{gauge}."


def photo_again(result: Coverage) -> str:
    """Return how to take a coverage's photo again, so that it can be told."""
    move = camera_move(result)
    sight = result.line_of_sight
    if not move or not isinstance(sight, Known):
        return "Take it again closer and sharper, or prove it with a pin."
    lean = printed(quantity_text(sight.quantity))
    return (
        f"Move the camera {move} and take it again (it looked {lean} aslant), "
        "or prove it with a pin."
    )


def agreements(check: Check, known: Round | None) -> tuple[str, ...]:
    """Return what each agreement that this check is a route of says of the other route."""
    found = []
    for other in known.checks if known else ():
        routes = [key_of(route) for route in other.characteristic.of or ()]
        if check.key in routes and other.value is not None and known is not None:
            found += [_agrees(known.check(key), other) for key in routes if key != check.key]
    return tuple(found)


def _agrees(route: Check, agreement: Check) -> str:
    named = _ROUTES.get(route.characteristic.kind, route.key)
    en = Saying("1", 2).value(agreement.value.value if agreement.value else 0.0)
    if agreement.state == "within":
        return f"{capital(named)} agrees (En {en}, at most 1)."
    return f"{capital(named)} does not agree (En {en}, more than 1)."
