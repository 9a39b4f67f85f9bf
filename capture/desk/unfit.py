"""What was typed into a form and can't be taken, said beside the field it was typed into."""

from collections.abc import Mapping


class Unfit(Exception):
    """Typed texts that can't be taken: by the field's name, a sentence each."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        super().__init__("; ".join(fields.values()))
        self.fields = dict(fields)


def refuse_empty(texts: Mapping[str, str], **needs: str) -> None:
    """Raise Unfit for every named field that says nothing; ``needs`` say what it wants."""
    lacking = {name: need for name, need in needs.items() if not texts.get(name, "").strip()}
    if lacking:
        raise Unfit(lacking)
