"""What the marking screen asks and says. Never a number of the check, its limit or its verdict."""

_QUESTIONS = {
    "away": "Nothing to mark here",
    "loading": "The photo is being opened …",
    "seeking": "Looking for the rims …",
    "placing": "Do both rims lie on their edges?",
    "measuring": "Measuring …",
}
_WAITING = (
    "Both rims are looked for from there. With the keyboard: Space, the arrow keys, Space again."
)


def question_words(state: str, page: str, near: str, *, drawn: bool = False) -> str:
    """Return the question at the top; ``near`` is what the shop calls the near hole.

    ``drawn`` is whether the far opening was drawn by its corners.
    """
    if page == "who":
        return "Second marks, placed blind"
    if page == "measure":
        return "Measure on this photo"
    if page == "together":
        return _QUESTIONS["measuring"] if state == "measuring" else "Which photos show this hole?"
    if state == "placing" and drawn:
        return "Does the drawing lie on the edges?"
    return _QUESTIONS.get(state) or f"Press anywhere inside the {near}"


_ASKED = "The photo is shown once it is said who places the second marks."


def mat_words(state: str, page: str) -> str:
    """Return what stands where no photo is yet."""
    if page == "who":
        return _ASKED
    return _QUESTIONS["loading"] if state == "loading" else ""


def accept_words(page: str, *, drawn: bool) -> str:
    """Return what accepting says yes to."""
    if page == "together":
        return "Measure together"
    return "Accept rim and opening" if drawn else "Accept both rims"


def note_words(state: str, note: str, *, refused: bool) -> str:
    """Return what stands above the strips: a refusal, what was noticed, or how to go on."""
    if refused:
        return f"Not done: {note.rstrip('.')}."
    if note:
        return f"{note[:1].upper()}{note[1:]}."
    if state == "seeking":
        return "Esc drops the search."
    return _WAITING if state == "press" else ""
