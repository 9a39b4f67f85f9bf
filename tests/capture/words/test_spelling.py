"""Fingerprints spelt out: one word for each character, none alike."""

import string

import pytest

from capture.words.spelling import spelt


def test_a_fingerprint_is_spelt_in_groups_of_four() -> None:
    assert spelt("a344Q+/z9") == [
        "a344  alfa, three, four, four",
        "Q+/z  capital quebec, plus, slash, zulu",
        "9     nine",
    ]


def test_every_character_has_a_word_of_its_own() -> None:
    letters = string.ascii_letters + string.digits + "+/=:-"
    words = [spelt(letter)[0].partition("  ")[2].strip() for letter in letters]
    assert len(set(words)) == len(letters)
    # From memory of the spelling alphabet itself: each word begins with its letter.
    assert all(
        word[0] == letter for word, letter in zip(words, string.ascii_lowercase, strict=False)
    )


@pytest.mark.parametrize("text", ["", "SHA256:" + "A" * 43])
def test_nothing_is_lost(text: str) -> None:
    assert "".join(line.split("  ")[0].strip() for line in spelt(text)) == text
