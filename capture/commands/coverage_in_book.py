"""benchproof coverage with --book: the same measurement, filed and judged in a book."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from annotate.errors import AnnotateError
from capture.commands import answer, exits
from capture.commands.books import opened
from capture.commands.coverage_from_book import (
    filed,
    first_marks,
    givens_of,
    kept_profile,
    overruled,
)
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
from capture.lenses import turned_notes
from capture.words import coverages as wording
from capture.words.card import card_notes
from capture.words.quantities import limit_text
from capture.words.refusals import sentence_of
from store.evidence import Marked

if TYPE_CHECKING:
    from annotate.beside import Beside
    from annotate.givens import Givens
    from annotate.marks import Layer
    from annotate.optics.profile import LensProfile
    from annotate.routes.accepted import Accepted
    from capture.intake.photo import Photo
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
        first = first_marks(given, edge, journey) if given.second else None
        second_to = first.hash if first else ""
        givens = possible(givens_of(given, asked, journey))
        photo = coming()
        kept = filed(photo, journey, location.id, role, first)
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
                lens=lens, lens_paper=kept_profile(given, journey) if lens else "",
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
            *asked.noted, *overruled(given, asked, journey), *placed.warnings,
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
