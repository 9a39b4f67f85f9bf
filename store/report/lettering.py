"""Any text a person may have typed -> text that the two printing fonts can set.

Nothing is dropped and nothing is guessed: a character that the fonts lack, or that would make
the page lie (controls, marks that turn the reading direction, piles of accents), is printed as
its Unicode number, ‹U+1F600›. The ledger keeps the original.
"""

import unicodedata
from bisect import bisect_right
from typing import Any

# Covered in every style by Libertinus Serif or by DejaVu Sans Mono, accents by both (a letter and
# its accents are set in one font); tests set every one of them, in order and shuffled.
COVERED: tuple[tuple[int, int], ...] = (
    (0x0020, 0x007E), (0x00A0, 0x00AC), (0x00AE, 0x01C3), (0x01CD, 0x01DD), (0x01DF, 0x01E3),
    (0x01E6, 0x01EF), (0x01F4, 0x01F6), (0x01F8, 0x01F9), (0x01FC, 0x021F), (0x0221, 0x0221),
    (0x0224, 0x0241), (0x0243, 0x0245), (0x0249, 0x0249), (0x024C, 0x024D), (0x0250, 0x02AF),
    (0x0300, 0x0331), (0x0338, 0x0338), (0x0343, 0x0343), (0x0374, 0x0377), (0x037A, 0x037F),
    (0x0384, 0x038A), (0x038C, 0x038C), (0x038E, 0x03A1), (0x03A3, 0x03CE), (0x03D0, 0x03E1),
    (0x03F0, 0x045F), (0x0462, 0x0463), (0x0472, 0x0473), (0x0490, 0x049B), (0x04A2, 0x04A5),
    (0x04AA, 0x04B3), (0x04BA, 0x04BB), (0x04C0, 0x04C4), (0x04C7, 0x04C8), (0x04CB, 0x04CC),
    (0x04CF, 0x04F9), (0x0510, 0x0511), (0x051A, 0x051D), (0x0531, 0x0556), (0x0559, 0x055F),
    (0x0561, 0x0587), (0x0589, 0x0589), (0x05D0, 0x05EA), (0x10D0, 0x10FA), (0x1E00, 0x1E9B),
    (0x1E9E, 0x1EF9), (0x1F00, 0x1F15), (0x1F18, 0x1F1D), (0x1F20, 0x1F45), (0x1F48, 0x1F4D),
    (0x1F50, 0x1F57), (0x1F59, 0x1F59), (0x1F5B, 0x1F5B), (0x1F5D, 0x1F5D), (0x1F5F, 0x1F7D),
    (0x1F80, 0x1FB4), (0x1FB6, 0x1FC4), (0x1FC6, 0x1FD3), (0x1FD6, 0x1FDB), (0x1FDD, 0x1FEF),
    (0x1FF2, 0x1FF4), (0x1FF6, 0x1FFE), (0x2010, 0x2015), (0x2018, 0x2022), (0x2026, 0x2026),
    (0x2030, 0x2037), (0x2039, 0x203A), (0x2044, 0x2044), (0x2070, 0x2071), (0x2074, 0x208E),
    (0x2090, 0x209C), (0x20A0, 0x20B5), (0x20B8, 0x20BA), (0x20BD, 0x20BD), (0x20BF, 0x20BF),
    (0x2103, 0x2103), (0x2116, 0x2117), (0x2119, 0x211A), (0x211C, 0x211D), (0x2120, 0x2120),
    (0x2122, 0x2122), (0x2126, 0x2126), (0x2150, 0x2151), (0x2153, 0x215E), (0x2190, 0x2199),
    (0x2200, 0x2220), (0x2223, 0x222D), (0x2234, 0x223D), (0x2241, 0x226B), (0x226D, 0x228B),
    (0x228D, 0x22A5), (0x22B2, 0x22B5), (0x22B8, 0x22B8), (0x22C2, 0x22C6), (0x22CD, 0x22D1),
    (0x22DA, 0x22E9), (0x22EF, 0x22EF), (0x2300, 0x2300), (0x25A0, 0x25FF),
)  # fmt: skip
_STARTS = [first for first, _ in COVERED]
_ACCENTS_IN_A_ROW = 2
_UNBROKEN, _CHUNK = 18, 8


def settable(text: str) -> str:
    """Return ``text`` so that it can be set, breaks anywhere it must, and hides nothing."""
    shown = "".join(_shown(text))
    return " ".join(_breakable(word) for word in shown.split(" "))


def lettered(value: Any) -> Any:  # noqa: ANN401 - JSON is any of its forms
    """Return JSON data with every text made settable."""
    if isinstance(value, dict):
        return {key: lettered(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [lettered(inner) for inner in value]
    return settable(value) if isinstance(value, str) else value


def _shown(text: str) -> list[str]:
    out = []
    accents = 0
    for character in text.replace("\r\n", "\n"):
        accents = accents + 1 if unicodedata.combining(character) else 0
        if character == "\n":
            out.append(" ¶ ")
        elif character == "\t":
            out.append(" ")
        elif _covered(ord(character)) and accents <= _ACCENTS_IN_A_ROW:
            out.append(character)
        else:
            out.append(f"\u2039U+{ord(character):04X}\u203a")
    return out


def _covered(code: int) -> bool:
    at = bisect_right(_STARTS, code) - 1
    return at >= 0 and code <= COVERED[at][1]


def _breakable(word: str) -> str:
    # A zero-width space every so often: an unbroken run of 2,000 characters would otherwise run
    # off the paper, and what is off the paper is not evidence.
    if len(word) <= _UNBROKEN:
        return word
    return "\u200b".join(word[i : i + _CHUNK] for i in range(0, len(word), _CHUNK))
