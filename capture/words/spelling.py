"""Fingerprints spelt out, to be read over the telephone: the ICAO's words for letters.

Source: Convention on International Civil Aviation, Annex 10, volume II, figure 5-1; the same words
stand in the Radio Regulations of the ITU, appendix 14 (both from memory).
"""

_WORDS = (
    "alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliett",
    "kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo", "sierra", "tango",
    "uniform", "victor", "whiskey", "x-ray", "yankee", "zulu",
)  # fmt: skip
_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_OTHERS = {"+": "plus", "/": "slash", "=": "equals", ":": "colon", "-": "dash"}
_GROUP = 4


def spelt(fingerprint: str) -> list[str]:
    """Return lines of four characters each, with a word for every one; large letters are said."""
    groups = (fingerprint[at : at + _GROUP] for at in range(0, len(fingerprint), _GROUP))
    return [f"{group:<{_GROUP}}  {', '.join(map(_word, group))}" for group in groups]


def _word(letter: str) -> str:
    if letter.isdecimal():
        return _DIGITS[int(letter)]
    if letter in _OTHERS:
        return _OTHERS[letter]
    word = _WORDS[ord(letter.lower()) - ord("a")]
    return f"capital {word}" if letter.isupper() else word
