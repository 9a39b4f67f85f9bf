"""What ``measure`` answers: every hole and distance of a face, as JSON and as lines."""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from capture.told_of_faces import Apart, Face


def face_answer(face: "Face", noted: tuple[str, ...]) -> dict[str, Any]:
    """Return the answer for programs."""
    from capture.commands.answer import (  # noqa: PLC0415 - --json only
        behind_answer,
        outline_answer,
        result_answer,
    )

    return {
        "holes": [
            {
                "click": list(hole.click),
                "diameter": result_answer(hole.diameter),
                "outline": outline_answer(hole.outline),
                "same_as": hole.same_as,
            }
            for hole in face.holes
        ],
        "distances": [
            {"from": pair.start, "to": pair.end, "distance": result_answer(pair.distance)}
            for pair in face.pairs
        ],
        "behind": behind_answer(face.behind, face.height),
        "warnings": list(noted),
    }


def face_lines(face: "Face", noted: tuple[str, ...]) -> list[str]:
    """Return the answer for a person, line by line."""
    from capture.told_of_faces import CLEARER  # noqa: PLC0415 - not with --json

    clearer = (f"for a distance shown too vaguely, {CLEARER}",)
    notes = (*(clearer if any(pair.vague for pair in face.pairs) else ()), *noted)
    return [
        *(f"hole {n}  diameter {_diameter_text(face, n)}" for n in range(len(face.holes))),
        *(f"{pair.start} to {pair.end}  {_apart_text(face, pair)}" for pair in face.pairs),
        *(f"note    {words}" for words in notes),
        "caution: a photo estimate is a screening aid: where it matters, confirm with a gauge",
    ]


def _diameter_text(face: "Face", hole: int) -> str:
    """Return a diameter as it is printed; a reason that several have stands with the first."""
    from annotate.result import Unknown  # noqa: PLC0415 - not for a mere --help
    from capture.words.quantities import result_text  # noqa: PLC0415 - not with --json

    told = [each.diameter for each in face.holes]
    first, same = told.index(told[hole]), face.holes[hole].same_as
    if same is not None:
        return f"as hole {same}: clicks {same} and {hole} are in the same hole"
    again = isinstance(told[hole], Unknown) and first < hole
    return f"not known: as hole {first}" if again else result_text(told[hole])


def _apart_text(face: "Face", pair: "Apart") -> str:
    """Return a distance as it is printed; what many would repeat stands with a hole, or below."""
    from capture.words.quantities import result_text  # noqa: PLC0415 - not with --json

    missing = [n for n in (pair.start, pair.end) if face.holes[n].outline is None]
    if missing:
        return f"not known: see hole {missing[0]}"
    return f"not known: {pair.vague}" if pair.vague else result_text(pair.distance)
