"""benchproof coverage with several photos of one hole, measured as one, what they share once."""

import argparse
from collections.abc import Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from annotate import coverage
from annotate.beside import Sight
from annotate.errors import AnnotateError
from annotate.routes.together import Together, measure_together
from capture.commands import answer, exits
from capture.commands.coverage_options import (
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
from capture.errors import BadPhoto, WrongUse
from capture.lenses import turned_notes
from capture.twice import Small, same_as, small_picture, told_twice
from capture.words import coverages as wording
from capture.words.card import card_notes
from capture.words.quantities import result_text
from capture.words.refusals import sentence_of
from store.judge import judge_result, subject_of

if TYPE_CHECKING:
    from annotate.givens import Givens
    from capture.commands.coverage_options import Asked
    from capture.intake.photo import Photo


class _OfOnePhoto(Exception):
    """The rims of one of the photos can't be placed; its words say which photo and why."""


def run(given: argparse.Namespace, photos: "Iterator[Photo]") -> int:
    """Measure, judge if asked, and say it; return the exit code.

    ``photos`` are those of the options, one after the other.
    """
    each = list(_each(given))
    pictures = pictures_of(given, len(each))
    asked = read_options(given)
    seen: list[Seen] = []
    givens = asked.givens(flat=given.flat)
    try:
        sights, noted = _sights(each, photos, asked, givens, seen)
        found = measure_together(sights, givens, tolerance=tolerance_of(given))
        for number, path in enumerate(pictures):
            with working(f"drawing photo {number + 1}"):
                _draw(path, number, seen, sights, givens, found)
    except _OfOnePhoto as refused:
        return say_refused(given, asked, str(refused), pictures, seen)
    except (BadPhoto, AnnotateError) as refused:
        return say_refused(given, asked, sentence_of(refused), pictures, seen)
    settled = found.trials, found.reached, tolerance_of(given)
    asked = asked._replace(
        noted=(
            *asked.noted,
            *noted,
            *card_notes(asked.marker, givens),
            *wording.unsettled_notes(*settled),
        )
    )
    limit = asked.limit
    verdict = judge_result(subject_of(found.coverage, limit.of), limit) if limit else None
    if given.json:
        measured = answer.coverage_answer(found.coverage, verdict, asked.limit_text, asked.noted)
        say_json({**measured, **answer.trials_answer(*settled),
                  **_beside(given, found)})  # fmt: skip
    else:
        for line in _lines(given, found):
            say(line)
        say_ending(verdict, asked.limit_text, (*asked.noted, *found.coverage.warnings))
    return exits.OF_STATE[verdict.state] if verdict else exits.DONE


def _each(given: argparse.Namespace) -> Iterator[argparse.Namespace]:
    """Yield the options of each photo: the first --click is that of the first photo, and so on."""
    many = len(given.photo)
    for name in ("click", "near_points", "far_points"):
        there = getattr(given, name) or []
        if len(there) not in {0, many}:
            option = name.replace("_", "-")
            raise WrongUse(f"{many} photos and {len(there)} --{option}: give one for each photo")
    for number, photo in enumerate(given.photo):
        one = argparse.Namespace(**vars(given))
        one.photo = photo
        for name in ("click", "near_points", "far_points"):
            there = getattr(given, name) or []
            setattr(one, name, there[number] if there else None)
        yield one


def _sights(
    each: Sequence[argparse.Namespace],
    photos: "Iterator[Photo]",
    asked: "Asked",
    givens: "Givens",
    seen: list[Seen],
) -> tuple[list[Sight], tuple[str, ...]]:
    """Return the marks on each photo and what was noted; ``seen`` is added to on the way."""
    sights, noted = [], []
    before: dict[bytes, int] = {}
    pictures: list[Small] = []
    with working("reading the photos") as now:
        for number, one in enumerate(each, start=1):
            photo = next(photos)
            same = before.setdefault(sha256(photo.original).digest(), number)
            if same != number:
                raise BadPhoto(f"photo {number} ({one.photo.name}) is photo {same} again: a photo "
                               "counts once, leave one out")  # fmt: skip
            if photo.pixels is not None:
                small = small_picture(photo.pixels)
                alike = same_as(small, pictures)
                if alike is not None:
                    raise told_twice(f"photo {number} ({one.photo.name})", f"photo {alike + 1}")
                pictures.append(small)
            now(f"looking for the rims of photo {number}")
            try:
                placed = place(one, photo, asked.marker, givens)
            except AnnotateError as refused:
                seen.append(Seen(photo, one.click, found_by(refused, None)))
                name = f"photo {number} ({one.photo.name})"
                raise _OfOnePhoto(f"{name}: {sentence_of(refused)}") from refused
            seen.append(Seen(photo, one.click, placed.layer))
            sights.append(Sight(placed.layer, lens_of(asked, placed.layer)))
            of_photo = (*placed.warnings, *turned_notes(asked.lens, placed.layer))
            noted += [f"photo {number}: {warning}" for warning in of_photo]
        now("measuring")
    return sights, tuple(noted)


def _lines(given: argparse.Namespace, found: Together) -> Iterator[str]:
    for number, (photo, alone) in enumerate(zip(given.photo, found.alone, strict=True), start=1):
        yield f"photo {number}  {photo.name} alone: covered {result_text(alone.covered)}"
    yield (
        f"agree    En {found.en:.2f} of the two that differ most, what they share left out; "
        f"{found.shared:.1f} points are common to those two"
    )
    yield from wording.coverage_lines(found.coverage)
    if given.budget:
        yield from wording.budget_lines(found.coverage)
    yield wording.trials_line(found.trials, found.reached, tolerance_of(given))


def _beside(given: argparse.Namespace, found: Together) -> dict[str, Any]:
    return {
        "photos": [
            {
                "photo": str(photo),
                "covered": answer.result_answer(alone.covered),
                "near": answer.outline_answer(alone.near),
                "far": answer.outline_answer(alone.far),
            }
            for photo, alone in zip(given.photo, found.alone, strict=True)
        ],
        "agreement": {"en": found.en, "shared_points": found.shared},
    }


def _draw(
    path: Path,
    number: int,
    seen: Sequence[Seen],
    sights: Sequence[Sight],
    givens: "Givens",
    found: Together,
) -> None:
    """Draw what one of the photos gives by itself, and say below what all of them do."""
    sight = sights[number]
    all_of = result_text(found.coverage.covered)
    row = f"photo {number + 1} of {len(sights)}, by itself; all of them as one: covered {all_of}"
    picture_of(
        path, seen[number].photo, sight.layer, givens, found=found.alone[number],
        trials=coverage.TRIALS, lens=sight.lens, beside=(row,),
    )  # fmt: skip
