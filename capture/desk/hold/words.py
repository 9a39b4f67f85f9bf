"""What a hold point is called in a sentence, before and after its part went on. No Qt in here."""

import re
from collections.abc import Sequence

from capture.desk.hold.groups import Group
from capture.desk.walk.when import clock
from capture.words.quantities import count_text
from store.round import Hold, Round
from store.standings.singles import alone_said

_GOES = re.compile(r"(?P<what>.+?) (?P<verb>goes|go) (?P<where>.+)")
_OTHER_VERB = re.compile(r"\b(is|are|was|were|gets?|has|have)\b")


def title_of(hold: Hold) -> str:
    """Return the sentence over a hold point: whether its part may go on, or is on."""
    unproven = bool(hold.unproven)
    name = hold.hold_point.name
    what, where, are = _parts(name)
    if not what:
        if hold.closed:
            return (
                f"{name}: closed, with something unproven since."
                if unproven
                else f"{name}: closed."
            )
        return f"{name}: not yet." if unproven else f"{name}: nothing stands against it."
    if hold.closed:
        return f"{what} {are} {where}{', and something is unproven since' if unproven else ''}."
    return f"{what} may not go {where} yet." if unproven else f"{what} may go {where}."


def above_of(known: Round, hold: Hold) -> str:
    """Return the line over the title: which hold point of how many, and what it means."""
    ids = [other.hold_point.id for other in known.holds]
    number = f"Hold point {ids.index(hold.hold_point.id) + 1} of {len(ids)}"
    if hold.closed:
        return f"{number}  ·  closed {clock(hold.closed.at, known.last.at)} by {hold.closed.by}"
    return f"{number}  ·  after this it cannot be looked at again"


def refused_of(known: Round, hold: Hold, groups: Sequence[Group]) -> str:
    """Return when it was last tried and refused, and why; empty if it was not, or may go on now."""
    if not hold.refusals or hold.closed or not groups:
        return ""
    last = f"Refused {clock(hold.refusals[-1].stamp.at, known.last.at)}"
    last += f", {len(hold.refusals)} times in all" if len(hold.refusals) > 1 else ""
    locations = sum(bool(group.number) for group in groups)
    if locations:
        many = count_text(len(hold.hides), "location")
        why = f"{locations} of {many} {'is' if locations == 1 else 'are'} unproven"
    else:
        others = count_text(len(groups), "other cover")
        why = f"{others} must be on before"
    first = groups[0]
    return f"{last}: {why}; first {f'{first.number} {first.name}'.removeprefix('0 ')} (key 1)"


def reopened_of(known: Round, hold: Hold) -> str:
    """Return when, by whom and why it was last opened again; empty if it was not, or is closed."""
    if hold.closed or not hold.reopened:
        return ""
    stamp, why = hold.reopened[-1]
    return f"Opened again {clock(stamp.at, known.last.at)} by {stamp.by}: {why.strip()}"


def bar_of(hold: Hold) -> tuple[str, str]:
    """Return what is written on the cover: its name, and the rest."""
    name, many = hold.hold_point.name, count_text(len(hold.hides), "location")
    held = {key.partition(".")[0] for key, _ in hold.unproven}
    if hold.closed:
        return name, f", over {many}"
    if not held:
        return name, f", sits on {many}"
    off = len(held & set(hold.hides))
    covers = count_text(len(held) - off, "other cover") if len(held) > off else ""
    if not off:
        return name, f", held off by {covers}"
    return name, f", held off by {off} of {many}{f' and {covers}' if covers else ''}"


def needed_of(hold: Hold) -> str:
    """Return what is still owed once it is closed: the photo of what closes it."""
    return "Photograph what closes it: that photo seals the hold point." if hold.unsealed else ""


def closed_words(hold: Hold, *, ends_job: bool = False) -> str:
    """Return what is said when a part went on; with the last one, that the job is closed."""
    ends = "With it the job is closed: send out what is kept of it." if ends_job else ""
    return " ".join(filter(None, (title_of(hold), needed_of(hold), ends)))


def waived_of(known: Round, hold: Hold) -> list[str]:
    """Return a sentence for each waiver a hold point leans on, with the location's number."""
    numbers = {place.location.id: n for n, place in enumerate(known.places, 1)}
    said = []
    for waived in hold.waived:
        location = known.plan.location(waived.key.partition(".")[0])
        said.append(
            f"{numbers[location.id]} {location.name}: {waived.state}, waived by "
            f"{waived.decided_by}. {_sentence(waived.reason)} "
            f"Owner agreed: {waived.owner_agreed.strip()}"
        )
    return said


def alone_of(known: Round, hold: Hold) -> list[str]:
    """Return a sentence for each check of many readings with one that is outside by itself.

    The cover may go on over it, or may not: either way the hand at the block has to know.
    """
    return [
        f"{number} {place.location.name}, {check.characteristic.id}: {check.state} by the "
        f"{check.characteristic.take} of {count_text(len(check.cells), 'reading')}; {alone}."
        for number, place in enumerate(known.places, 1)
        if place.location.id in hold.hides
        for check in place.checks
        if check.verdict is not None and not check.excused and (alone := alone_said(check))
    ]


def _parts(name: str) -> tuple[str, str, str]:
    """Return (what goes on, where it goes, "is" or "are"); nothing where the name is no part's."""
    said = _GOES.fullmatch(name)
    if said and not _OTHER_VERB.search(said["what"]):
        return said["what"], said["where"], "is" if said["verb"] == "goes" else "are"
    if said or _OTHER_VERB.search(name):
        return "", "", ""
    return name, "on", "are" if name.endswith("s") else "is"


def _sentence(words: str) -> str:
    said = words.strip()
    said = said[:1].upper() + said[1:]
    return said if said.endswith((".", "!", "?")) else f"{said}."
