"""The paragraph that opens page 1: how much is shown, what is not, what was waived or is open."""

from typing import Literal

from store.plan import Role
from store.report import words
from store.report.figures import NBSP, count, listed
from store.report.names import check_name, location_name
from store.report.trail import Trail
from store.report.words import NEVER, Bits
from store.round import Hold, Place, Round, Standing

_SMALL_NUMBERS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
)  # fmt: skip
_NAMED = 6
Word = Standing | Literal["never fitted"]


def subject(known: Round) -> str:
    """Return the engine in words, with its number."""
    number = known.job.engine_number
    return known.job.engine + (f", engine no.{NBSP}{number}" if number else "")


def tally(known: Round) -> dict[str, int]:
    """Return how many checks stand at each word; what this block never had counts by itself."""
    found: dict[str, int] = dict.fromkeys([*known.tally(), NEVER], 0)
    for check in known.checks:
        found[words.sign_of(check)] += 1
    return found


def lead(known: Round, trail: Trail) -> Bits:
    """Return the paragraph; every count in it is of page 1's signs."""
    sentences = [*_counted(known), *_suspect(known), *_waived(known), *_held(known)]
    if known.counts_open:
        number = len(known.counts_open)
        what = "count does" if number == 1 else "counts do"
        sentences.append(f"{_spelt(number).capitalize()} {what} not close: see below.")
    sentences += _conflicts(trail)
    if known.follows:
        sentences.append(f"This is a comeback of job {known.follows}.")
    text = " ".join(sentences)
    return [text, " ", {"bold": "Before first start, read the cautions on this page."}]


def _spelt(number: int) -> str:
    return _SMALL_NUMBERS[number] if number < len(_SMALL_NUMBERS) else str(number)


def _is(number: int) -> str:
    return "is" if number == 1 else "are"


def _was(number: int) -> str:
    return "was" if number == 1 else "were"


def _counted(known: Round) -> list[str]:
    found = tally(known)
    within = found["within"]
    text = f"Of {count(len(known.checks), 'thing')} asked of this engine, "
    text += f"{within} {_is(within)}" if within else "none is"
    sentences = [f"{text} shown to be within."]
    ended = {
        "outside": "{is} outside.",
        "too close to call": "{is} too close to call.",
        "not measured": "{was} not measured.",
        "no limit": "{is} recorded without a limit.",
        NEVER: "{was} never fitted on this block.",
    }
    for state, words_ in ended.items():
        number = found[state]
        if number:
            said = words_.replace("{is}", _is(number)).replace("{was}", _was(number))
            sentences.append(f"{_spelt(number).capitalize()} {said}")
    return sentences


def _conflicts(trail: Trail) -> list[str]:
    """Return that two benches both did something: the last to arrive counts, and nobody chose."""
    number = sum(len(merge.clashes) for merge in trail.merges)
    if not number:
        return []
    what = "thing was" if number == 1 else "things were"
    said = f"{_spelt(number).capitalize()} {what} done at two benches, each without knowing of the"
    return [f"{said} other: see Merges."]


def _suspect(known: Round) -> list[str]:
    number = sum(bool(check.suspect) for check in known.checks)
    if not number:
        return []
    rest = "rests" if number == 1 else "rest"
    return [f"{_spelt(number).capitalize()} {rest} on a suspect gauge and {_is(number)} unproven."]


def _waived(known: Round) -> list[str]:
    """Return each waived check with what it stands at, each waived location with what it lacks."""
    named = [
        f"{check_name(c)} ({c.state}{', suspect' if c.suspect else ''})"
        for c in known.checks
        if c.waiver is not None
    ]
    named += [
        f"{location_name(place.location)} ({_lacking(place, known)})"
        for place in known.places
        if any(waiver.stands for waiver in place.waivers)
    ]
    if not named:
        return []
    rest = f" and {len(named) - _NAMED} more, each marked below" if len(named) > _NAMED else ""
    return [f"Waived in writing, without changing what it is: {'; '.join(named[:_NAMED])}{rest}."]


def _lacking(place: Place, known: Round) -> str:
    """Return what a location as a whole was waived for, as far as that shows now."""
    holds = {waiver.hold_point for waiver in place.waivers if waiver.stands}
    roles: dict[Role, None] = {}
    for hold in known.holds:
        if hold.hold_point.id in holds:
            roles.update(dict.fromkeys(place.missing(hold.hold_point.roles)))
    if roles:
        return f"no photo: {listed(list(roles))}"
    # A log, a plug, or a photo that came after the waiver: what it was can't be told from here.
    return "what was missing there when it was waived"


def _held(known: Round) -> list[str]:
    sentences = []
    for said, holds in (
        (
            "Still held open by something unproven",
            [h for h in known.holds if h.unproven and not h.closed],
        ),
        ("Closed, yet no longer proven", [h for h in known.holds if h.unproven and h.closed]),
        ("Closed, not sealed", [h for h in known.holds if h.unsealed]),
    ):
        if holds:
            sentences.append(f"{said}: {_names(holds)}.")
    return sentences


def _names(holds: list[Hold]) -> str:
    return listed([words.hold_name(hold.hold_point) for hold in holds])
