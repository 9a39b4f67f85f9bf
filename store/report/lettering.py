"""Any text a person may have typed -> text that the two printing fonts can set.

Nothing is dropped and nothing is guessed: a character that the fonts lack, or that would make
the page lie (controls, marks that turn the reading direction, piles of accents), is printed as
its Unicode number, ‹U+1F600›. The ledger keeps the original.
"""

import unicodedata
from bisect import bisect_right

# Covered by the fonts shipped with typst (Libertinus Serif, DejaVu Sans Mono and the fallbacks
# beside them); tests set every one of them.
COVERED: tuple[tuple[int, int], ...] = (
    (0x0020, 0x007E), (0x00A0, 0x00AC), (0x00AE, 0x02AF), (0x0300, 0x0345), (0x0370, 0x0377),
    (0x037A, 0x037F), (0x0384, 0x038A), (0x038C, 0x038C), (0x038E, 0x03A1), (0x03A3, 0x04FF),
    (0x0510, 0x0513), (0x051A, 0x051D), (0x0531, 0x0556), (0x0559, 0x0589), (0x05D0, 0x05EA),
    (0x0621, 0x063A), (0x0641, 0x0652), (0x0660, 0x066C), (0x10D0, 0x10FA), (0x1E00, 0x1F15),
    (0x1F18, 0x1F1D), (0x1F20, 0x1F45), (0x1F48, 0x1F4D), (0x1F50, 0x1F57), (0x1F59, 0x1F59),
    (0x1F5B, 0x1F5B), (0x1F5D, 0x1F5D), (0x1F5F, 0x1F7D), (0x1F80, 0x1FB4), (0x1FB6, 0x1FC4),
    (0x1FC6, 0x1FD3), (0x1FD6, 0x1FDB), (0x1FDD, 0x1FEF), (0x1FF2, 0x1FF4), (0x1FF6, 0x1FFE),
    (0x2010, 0x2015), (0x2018, 0x2022), (0x2026, 0x2026), (0x2030, 0x203A), (0x2044, 0x2044),
    (0x2070, 0x2071), (0x2074, 0x208E), (0x2090, 0x209C), (0x20A0, 0x20BF), (0x2103, 0x2103),
    (0x2116, 0x2122), (0x2126, 0x2126), (0x2150, 0x2151), (0x2153, 0x215E), (0x2190, 0x2199),
    (0x2200, 0x2300), (0x25A0, 0x25FF), (0x2713, 0x2718),
)  # fmt: skip
_STARTS = [first for first, _ in COVERED]
_ACCENTS_IN_A_ROW = 2
_UNBROKEN = 24


def settable(text: str) -> str:
    """Return ``text`` so that it can be set, breaks anywhere it must, and hides nothing."""
    shown = "".join(_shown(text))
    return " ".join(_breakable(word) for word in shown.split(" "))


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
    return "\u200b".join(word[i : i + _UNBROKEN] for i in range(0, len(word), _UNBROKEN))
