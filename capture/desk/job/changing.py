"""Changes of the plan as one act at the bench."""

from capture.desk.bench import Work
from capture.words.plans import change_words
from store.change import Change


def changing(changes: list[Change], reason: str = "", assumed: str = "") -> Work:
    """Return the act that makes changes, one entry each, and says what was changed.

    ``assumed`` is said too: what was taken for typed.
    """
    end = [assumed] if assumed else []
    return lambda journey: "; ".join([
        f"entry {journey.change_plan(change, reason).seq}: {change_words(change, journey.plan)}"
        for change in changes
    ] + end)  # fmt: skip
