"""What was typed into a form and lacks something, said beside the field it lacks in."""

from collections.abc import Mapping

from capture.errors import Unfit


def refuse_empty(texts: Mapping[str, str], **needs: str) -> None:
    """Raise Unfit for every named field that says nothing; ``needs`` say what it wants."""
    lacking = {name: need for name, need in needs.items() if not texts.get(name, "").strip()}
    if lacking:
        raise Unfit(lacking)
