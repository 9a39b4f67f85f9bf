"""benchproof coverage with --book: the same measurement, filed and judged in a book."""

import argparse
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from annotate.errors import AnnotateError
from capture.commands import answer, exits
from capture.commands.books import opened
from capture.commands.coverage_options import (
    Asked,
    found_by,
    lens_of,
    picture_of,
    picture_of_refusal,
    pictures_of,
    place,
    possible,
    read_options,
    tolerance_of,
)
from capture.commands.coverage_said import say_ending
from capture.commands.edge import say, say_json, working
from capture.commands.photo import role_of
from capture.edge import Edge
from capture.errors import WrongUse
from capture.lenses import WHAT, turned_notes
from capture.tagged import refuse_other_tags
from capture.words import coverages as wording
from capture.words.card import card_notes
from capture.words.quantities import limit_text
from capture.words.refusals import sentence_of
from store.evidence import Marked, PaperKept
from store.told.tags import tag_numbers

if TYPE_CHECKING:
    from annotate.beside import Beside
    from annotate.givens import Givens
    from annotate.marks import Layer
    from annotate.optics.profile import LensProfile
    from annotate.routes.accepted import Accepted
    from capture.intake.photo import Photo
    from capture.journey import Journey
    from store.codec import Entry
    from store.plan import Role
    from store.round import Check

Settled = tuple[int, float, float]


def run(given: argparse.Namespace, edge: Edge, coming: "Callable[[], Photo]") -> int:
    """File photo and marks, say what was measured; return the exit code of the verdict.

    The photo is kept even where nothing can be measured on it; marks are kept only with a number.
    Blind second marks are not judged: they end with that of done.
    """
    if given.limit:
        raise WrongUse("the limit is the plan's: leave --limit out, or --book")
    asked = read_options(given)
    pictures = pictures_of(given, 1)
    role = role_of(given.role)
    with opened(given.book, edge) as journey, working("reading the photo") as now:
        location, check = journey.plan.characteristic(given.check)
        if check.kind != "coverage":
            raise WrongUse(f"{given.check} is a {check.kind}, not a coverage")
        first = _first_marks(given, edge, journey) if given.second else None
        second_to = first.hash if first else ""
        givens = possible(_givens(given, asked, journey))
        photo = coming()
        kept = _filed(photo, journey, location.id, role, first)
        now("looking for the rims")
        placed = None
        made = _Made()
        journey.measure_with(made)
        try:
            placed = place(given, photo, asked.marker, givens)
            now("measuring")
            lens = lens_of(asked, placed.layer)
            done = journey.coverage(
                given.check, kept, placed.layer, givens, second_to=second_to,
                lens=lens, lens_paper=_kept_profile(given, journey) if lens else "",
                together=[journey.book.entry(entry).hash for entry in given.together],
                tolerance=tolerance_of(given),
            )  # fmt: skip
        except AnnotateError as refused:
            for path in pictures:
                layer, reason = found_by(refused, placed), sentence_of(refused)
                picture_of_refusal(path, photo, layer, reason, given.click)
            raise
        for path in pictures:
            now("drawing")
            _draw(path, photo, _record(done, second=bool(second_to)))
        noted = (
            *asked.noted, *_overruled(given, asked, journey), *placed.warnings,
            *card_notes(asked.marker, givens), *turned_notes(asked.lens, placed.layer),
            *wording.unsettled_notes(*made.settled),
        )  # fmt: skip
    say_it = _say_second if second_to else _say
    say_it(given, asked._replace(noted=noted), done, made.settled)
    return exits.DONE if second_to else exits.OF_STATE[done.state]


class _Made:
    """Measures as ``accept`` does, and remembers how settled that was: no book keeps it.

    ``settled`` are the trials, how still the interval stands by then, and what was asked for.
    """

    def __init__(self) -> None:
        self.settled: Settled = (0, 0.0, 0.0)

    def __call__(
        self,
        layer: "Layer",
        givens: "Givens",
        *,
        seed: int,
        lens: "LensProfile | None",
        beside: "Beside",
        tolerance: float,
    ) -> "Accepted":
        from annotate.routes.accepted import accept  # noqa: PLC0415 - beside its use

        done = accept(layer, givens, seed=seed, lens=lens, beside=beside, tolerance=tolerance)
        self.settled = (done.trials, done.reached, done.tolerance)
        return done


def _record(check: "Check", *, second: bool) -> Marked | None:
    attempt = check.seconds[-1].attempt if second else check.current
    record = attempt.record if attempt else None
    return record if isinstance(record, Marked) else None


def _draw(path: Path, photo: "Photo", record: Marked | None) -> None:
    if record is not None:
        picture_of(
            path, photo, record.layer, record.givens, found=record.result, seed=record.seed,
            trials=record.trials,
            lens=record.lens,
        )  # fmt: skip


def _first_marks(given: argparse.Namespace, edge: Edge, journey: "Journey") -> "Entry":
    """Return the entry that second marks are second to; raises WrongUse, NoSuchEntry."""
    first = journey.book.entry(given.second)
    if not isinstance(first.evidence, Marked) or first.evidence.key != given.check:
        raise WrongUse(f"entry {given.second} is no marks for {given.check}: name those marks")
    if first.by == edge.by:
        raise WrongUse(
            f"second marks are another person's, and {first.by} placed the first ones: say who "
            "places these with --by"
        )
    return first


def _filed(
    photo: "Photo", journey: "Journey", location: str, role: "Role", first: "Entry | None"
) -> str:
    """Return the SHA-256 of the photo, filed now unless it lies at the location already."""
    digest = sha256(photo.original).hexdigest()
    if first and isinstance(first.evidence, Marked) and first.evidence.photo != digest:
        raise WrongUse(
            f"{photo.file_name} is another photo than the first marks are on: second marks need "
            "the same one"
        )
    told = journey.book.told
    if digest not in {taken.photo for taken in told.photos_at(location, told.now)}:
        refuse_other_tags(photo, location, tag_numbers(told))
        journey.add_photo(photo, location=location, role=role)
    return digest


def _kept_profile(given: argparse.Namespace, journey: "Journey") -> str:
    """Return the entry of the lens profile's file, kept as a paper now unless it is already."""
    digest = sha256(given.lens.read_bytes()).hexdigest()
    for entry in journey.book.entries():
        if isinstance(entry.evidence, PaperKept) and entry.evidence.paper == digest:
            return entry.hash
    return journey.add_paper(given.lens, what=WHAT).hash


def _givens(given: argparse.Namespace, asked: Asked, journey: "Journey") -> "Givens":
    """Return what the plan knows of the holes, outranked by what was typed now."""
    from annotate.givens import Givens  # noqa: PLC0415 - beside its use

    planned = journey.givens(given.check)
    flat = given.flat or (planned.flat and "bore_diameter" not in asked.lengths)
    return Givens(
        near_diameter=asked.lengths.get("near_diameter", planned.near_diameter),
        far_diameter=asked.lengths.get("far_diameter", planned.far_diameter),
        wall=asked.lengths.get("wall", planned.wall),
        bore_diameter=None if flat else asked.lengths.get("bore_diameter", planned.bore_diameter),
        flat=flat,
    )


def _overruled(given: argparse.Namespace, asked: Asked, journey: "Journey") -> Iterator[str]:
    """Yield a note for each typed length that is not the plan's, within both uncertainties."""
    planned = journey.givens(given.check)
    for name, typed in asked.lengths.items():
        plans = getattr(planned, name, None)
        if plans is None:
            continue
        # Half widths of two rectangles: what a typed +- or a last step means.
        reach = (typed.to("mm").u + plans.to("mm").u) * 3**0.5
        if abs(typed.to("mm").value - plans.to("mm").value) > reach:
            yield (
                f"{name.replace('_', ' ')} {typed.to('mm').value:g} mm was typed and used; "
                f"the plan has {plans.to('mm').value:g} mm: check which is right"
            )


def _say(given: argparse.Namespace, asked: Asked, check: "Check", settled: Settled) -> None:
    record = _record(check, second=False)
    if record is None:
        return
    limit = limit_text(check.characteristic.limit)
    if given.json:
        measured = answer.coverage_answer(record.result, check.verdict, limit, asked.noted)
        say_json({**measured, **answer.trials_answer(*settled)})
        return
    for line in wording.coverage_lines(record.result, check.location.near, check.location.far):
        say(line)
    _say_workings(given, record)
    say(wording.trials_line(*settled))
    say_ending(check.verdict, limit, (*asked.noted, *record.result.warnings))


def _say_workings(given: argparse.Namespace, record: Marked) -> None:
    if given.budget:
        for line in wording.budget_lines(record.result):
            say(line)
    if record.together:
        many = len(record.together)
        say(f"together with marks on {many} other photo{'' if many == 1 else 's'} of this hole, "
            "what they share counted once")  # fmt: skip
    if record.repeats is not None:
        for line in wording.repeats_lines(record.repeats, len(record.repeats_from)):
            say(line)


def _say_second(given: argparse.Namespace, asked: Asked, check: "Check", settled: Settled) -> None:
    """Say what the second marks gave, and nothing of the first."""
    attempt = check.seconds[-1].attempt
    record = attempt.record
    if not isinstance(record, Marked):
        return
    if given.json:
        measured = answer.coverage_answer(record.result, None, "", asked.noted)
        say_json(
            {
                **measured,
                **answer.trials_answer(*settled),
                "second_to": record.second_to,
                "entry": attempt.stamp.entry,
            }
        )
        return
    for line in wording.coverage_lines(record.result, check.location.near, check.location.far):
        say(line)
    say(wording.trials_line(*settled))
    for noted in (*asked.noted, *record.result.warnings):
        say(f"note     {noted}")
    if given.click:
        say("note     rims found from a click are the program's own: for a second pair of eyes "
            "give --near-points and --far-points")  # fmt: skip
    say(f"kept beside the first marks, entry {attempt.stamp.seq}; how far the two agree is told "
        f"by: benchproof check {given.book} {given.check}")  # fmt: skip
    say(wording.SCREENING)
