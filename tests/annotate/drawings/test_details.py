"""A sheet's words stay below what they are said of."""

from xml.etree import ElementTree as ET

from annotate.drawings.details import SIDE, Detail, sheet
from annotate.drawings.pen import Box

SVG = "{http://www.w3.org/2000/svg}"


def test_words_longer_than_their_detail_go_on_in_the_next_line() -> None:
    long = " ".join(["it can be told to two millimetres either way only"] * 3)
    whole = Detail(Box(0, 0, 300, 200), lambda _: iter(()), ("all of it",))
    parts = [Detail(Box(0, 0, 50, 50), lambda _: iter(()), (long, "24 points"))] * 2
    told = ET.fromstring(sheet(whole, parts)).findall(f"{SVG}text")  # noqa: S314 - our own
    lines = [("".join(each.itertext()), float(each.get("x", "")), float(each.get("y", "")))
             for each in told[1:]]  # fmt: skip
    left = [text for text, x, _ in lines if x < SIDE]
    assert " ".join(left) == f"{long} 24 points"
    assert max(len(text) for text in left) < SIDE / 6
    heights = [y for _, x, y in lines if x < SIDE]
    assert len(set(heights)) == len(heights)
