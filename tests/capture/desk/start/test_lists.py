"""How many there are of what a plan multiplies."""

import pytest

from capture.desk.start.lists import list_of, list_text, lists_of
from capture.errors import Unfit


@pytest.mark.parametrize(
    ("words", "text"),
    [(("1", "2", "3"), "3"), (("3", "4"), "3, 4"), (("main", "left"), "main, left"), (("1",), "1")],
)
def test_a_list_reads_back_as_it_is_shown(words, text) -> None:
    assert list_text(words) == text
    assert list_of(text, words) == words


@pytest.mark.parametrize(
    ("text", "planned", "words"),
    [
        ("6", ("1", "2"), ("1", "2", "3", "4", "5", "6")),
        ("3", ("3", "4"), ("3", "4", "5")),  # it counts on from where the plan begins
        ("4-6", ("3", "4"), ("4", "5", "6")),
        ("1, 3 - 5", ("1",), ("1", "3", "4", "5")),
        ("front, rear", ("main",), ("front", "rear")),
        ("2", ("main",), ("2",)),  # a name, where the plan has names
    ],
)
def test_what_is_typed(text, planned, words) -> None:
    assert list_of(text, planned) == words


@pytest.mark.parametrize(
    ("text", "words"),
    [("0", "at least one"), ("", "at least one"), (" , ", "at least one"), ("6-4", "at least one"),
     ("100", "more than 99"), ("1-120", "more than 99"), ("2, 2", "there twice")],
)  # fmt: skip
def test_what_is_refused(text, words) -> None:
    with pytest.raises(ValueError, match=words):
        list_of(text, ("1", "2"))


def test_only_what_differs_is_changed_and_every_fault_is_named() -> None:
    planned = {"cyl": ("1", "2"), "main": ("1", "2", "3")}
    assert lists_of({"cyl": "4", "main": "3"}, planned) == {"cyl": ("1", "2", "3", "4")}
    with pytest.raises(Unfit) as wrong:
        lists_of({"cyl": "0", "main": "1, 1"}, planned)
    assert set(wrong.value.fields) == {"cyl", "main"}
