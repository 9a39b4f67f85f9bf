"""benchproof coverage of one photo, without a book: measured, judged if asked, and said."""

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING

from annotate.errors import AnnotateError
from annotate.routes.accepted import Accepted, accept
from capture.commands import answer, exits
from capture.commands.coverage_options import (
    Asked,
    found_by,
    lens_of,
    picture_of,
    pictures_of,
    place,
    read_options,
    tolerance_of,
)
from capture.commands.coverage_said import Seen, say_ending, say_refused
from capture.commands.edge import say, say_json, working
from capture.errors import BadPhoto
from capture.lenses import turned_notes
from capture.words import coverages as wording
from capture.words.card import card_notes
from capture.words.refusals import sentence_of
from store.judge import judge_result, subject_of

if TYPE_CHECKING:
    from capture.intake.photo import Photo
    from store.verdict import Verdict


def run(given: argparse.Namespace, coming: "Callable[[], Photo]") -> int:
    """Measure, judge if asked, and say it; return the exit code."""
    asked = read_options(given)
    givens = asked.givens(flat=given.flat)
    pictures = pictures_of(given, 1)
    photo, placed = None, None
    try:
        with working("reading the photo") as now:
            photo = coming()
            now("looking for the rims")
            placed = place(given, photo, asked.marker, givens)
            now("measuring")
            lens = lens_of(asked, placed.layer)
            done = accept(placed.layer, givens, lens=lens, tolerance=tolerance_of(given))
            for path in pictures:
                now("drawing")
                picture_of(
                    path, photo, placed.layer, givens, found=done.coverage, trials=done.trials,
                    lens=lens,
                )  # fmt: skip
    except (BadPhoto, AnnotateError) as refused:
        seen = Seen(photo, given.click, found_by(refused, placed))
        return say_refused(given, asked, sentence_of(refused), pictures, [seen])
    limit = asked.limit
    verdict = judge_result(subject_of(done.coverage, limit.of), limit) if limit else None
    noted = (*asked.noted, *placed.warnings, *card_notes(asked.marker, givens))
    noted += turned_notes(asked.lens, placed.layer)
    _say_measured(given, asked._replace(noted=noted), verdict, done)
    return exits.OF_STATE[verdict.state] if verdict else exits.DONE


def _say_measured(
    given: argparse.Namespace, asked: Asked, verdict: "Verdict | None", done: Accepted
) -> None:
    settled = done.trials, done.reached, done.tolerance
    result, noted = done.coverage, (*asked.noted, *wording.unsettled_notes(*settled))
    if given.json:
        measured = answer.coverage_answer(result, verdict, asked.limit_text, noted)
        say_json({**measured, **answer.trials_answer(*settled)})
        return
    for line in wording.coverage_lines(result):
        say(line)
    if given.budget:
        for line in wording.budget_lines(result):
            say(line)
    say(wording.trials_line(*settled))
    say_ending(verdict, asked.limit_text, (*noted, *result.warnings))
