"""What ``coverage`` says at its end, of one photo or several, with a book and without."""

import argparse
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from capture.commands import answer, exits
from capture.commands.coverage_options import Asked, picture_of_refusal
from capture.commands.edge import say, say_json, warn
from capture.words import coverages as wording
from capture.words.quantities import verdict_line
from store.judge import not_measured

if TYPE_CHECKING:
    from annotate.marks import Layer, PixelPair
    from capture.intake.photo import Photo
    from store.verdict import Verdict


class Seen(NamedTuple):
    """A photo, where it was clicked, and what was placed or found on it; None: as far as known."""

    photo: "Photo | None"
    click: "PixelPair | None"
    layer: "Layer | None"


def say_ending(verdict: "Verdict | None", limit_text: str, notes: Iterable[str]) -> None:
    """Say the verdict, if one was asked for, the notes, and what a photo's number is good for."""
    if verdict:
        say(verdict_line(verdict, limit_text))
    for told in notes:
        say(f"note     {told}")
    say(wording.SCREENING)


def say_refused(
    given: argparse.Namespace,
    asked: Asked,
    reason: str,
    pictures: Sequence[Path],
    seen: Sequence[Seen],
) -> int:
    """Say why nothing was measured, and draw what was found by then; return the exit code."""
    verdict = not_measured(asked.limit, reason) if asked.limit else None
    if given.json:
        say_json(answer.no_coverage_answer(reason, verdict, asked.limit_text, asked.noted))
    warn(reason)
    # Of photos that were not read yet there is nothing to draw.
    for path, one in zip(pictures, seen, strict=False):
        picture_of_refusal(path, one.photo, one.layer, reason, one.click)
    return exits.NOT_READ
