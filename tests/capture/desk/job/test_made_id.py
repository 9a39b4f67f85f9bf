"""Ids made of names."""

import pytest

from capture.desk.job.made_id import made_id
from store.plan import Location


@pytest.mark.parametrize(
    ("name", "made"),
    [("Plug behind the drive", "plug-behind-drive"), ("  ", ""), ("The", "the"),
     ("Öl: Bohrung 3", "ol-bohrung-3"), ("How deep does the plug's lip sit, right round?",
     "how-deep-does-plug-s-lip"), ("x" * 60, "x" * 24)],
)  # fmt: skip
def test_an_id_is_made_of_the_telling_words(name, made) -> None:
    assert made_id(name) == made
    if made:
        assert Location(made, name or "x").id == made  # it is one that a plan takes


def test_what_is_taken_gets_a_number() -> None:
    assert made_id("Plug", {"plug"}) == "plug-2"
    assert made_id("Plug", {"plug", "plug-2"}) == "plug-3"
