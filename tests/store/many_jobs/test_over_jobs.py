"""One check over many jobs, drawn: every value at its place, told by shape and word too."""

import re
import xml.etree.ElementTree as ET
from contextlib import closing

import pytest

from store.errors import BadAct
from store.many_jobs.over_jobs import plot
from store.many_jobs.shop_file import ShopFile
from store.many_jobs.sought import Sought
from store.shop import Shop
from store.ways_out.listing import Row
from tests.store.jobs import job_book

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def rows(tmp_path_factory: pytest.TempPathFactory) -> list[Row]:
    """The same check of five jobs: within, outside, too close, in inches, never measured."""
    folder = tmp_path_factory.mktemp("jobs")
    for day, (nip, unit) in enumerate(
        [(0.1, "mm"), (0.19, "mm"), (0.158, "mm"), (0.1, "in"), (None, "mm")], start=2
    ):
        job_book(folder / str(day), f"J-{day}", nip=nip, day=day, unit=unit, engine="V <twin> & co")
    with closing(Shop(ShopFile(None, version="1"))) as shop:
        shop.refresh([folder])
        return shop.checks(Sought(check="nip"))


def texts(svg: str) -> list[str]:
    return [each.text or "" for each in ET.fromstring(svg).iter(f"{SVG}text")]  # noqa: S314 - ours


def centres(svg: str) -> list[float]:
    return [float(x) for x in re.findall(r'<circle cx="([\d.]+)"', svg)]


def scale_of(svg: str) -> tuple[float, float]:
    """Return pixels per mm and the pixel of 0, from the figures that are written on the scale."""
    ticks = {
        float(each.text): float(each.attrib["x"])
        for each in ET.fromstring(svg).iter(f"{SVG}text")  # noqa: S314 - ours
        if each.attrib.get("text-anchor") == "middle" and re.fullmatch(r"[\d.]+", each.text or "")
    }
    first, last = min(ticks), max(ticks)
    assert len(ticks) >= 3
    per = (ticks[last] - ticks[first]) / (last - first)
    return per, ticks[first] - per * first


def test_it_is_svg_that_says_what_it_shows(rows: list[Row]) -> None:
    svg = plot(rows)
    said = texts(svg)
    assert said[0] == "P3.nip: plug minus bore"
    assert "4 values of 4 jobs" in said[1]
    assert "1 without a value" in said[1]
    for word in ("within", "outside", "too close to call"):
        assert said.count(word) >= 2  # beside its value, and in the legend
    assert said[-1] == "limit, hatched where it does not allow"
    assert {"J-2", "J-3", "J-4", "J-5"} <= set(said)
    assert "J-6" not in said
    assert any("V <twin> & co, 2026-03-02" in text for text in said)


def test_every_dot_lies_at_its_value_on_the_scale(rows: list[Row]) -> None:
    svg = plot([row for row in rows if row["state"] == "within" and row["unit"] == "mm"])
    per, zero = scale_of(svg)
    assert centres(svg)[0] == pytest.approx(zero + per * 0.1, abs=0.2)
    walls = [float(x) for x in re.findall(r'<path d="M([\d.]+) \d+V\d+" stroke="#17191C"', svg)]
    assert walls[:2] == pytest.approx([zero + per * 0.04, zero + per * 0.16], abs=0.2)


def test_values_in_inch_are_drawn_in_the_unit_of_the_first(rows: list[Row]) -> None:
    """0.1 mm is 0.1 mm, whichever unit it was typed in (1 in is 25.4 mm exactly, 1959)."""
    metric = next(row for row in rows if row["state"] == "within")
    figures = ("value", "u", "low", "high", "at_least", "at_most")
    imperial = {**metric, "unit": "in", **{name: metric[name] / 25.4 for name in figures}}
    one, two, *_ = centres(plot([metric, imperial]))
    assert one == pytest.approx(two, abs=0.15)
    assert texts(plot([imperial, metric])).count("in") == 1


def test_what_is_covered_is_drawn_in_per_cent_and_a_depth_with_its_words(rows: list[Row]) -> None:
    within = next(row for row in rows if row["state"] == "within")
    share = {**within, "unit": "1", "kind": "coverage"}
    figures = [text for text in texts(plot([share])) if re.fullmatch(r"[\d.]+", text)]
    assert max(map(float, figures)) > 10
    assert "%" in texts(plot([share]))
    assert "%" not in texts(plot([{**share, "kind": "computed"}]))
    en = texts(plot([{**share, "kind": "agreement", "value": 0.519889, "u": 0.0}]))
    assert {"0.52", "En"} <= set(en)
    deep = texts(plot([{**within, "side": "BELOW"}]))
    assert "mm BELOW; PROUD is left of 0" in deep
    assert "0.100 mm BELOW" in [text.replace("\N{NO-BREAK SPACE}", " ") for text in deep]


def test_a_wall_is_hatched_on_the_side_that_is_not_allowed(rows: list[Row]) -> None:
    svg = plot([next(row for row in rows if row["state"] == "within")])
    strokes = re.findall(r'<path d="M([\d.]+) \d+l(-?6) 6', svg)
    (least, left), (most, right) = strokes[:2]
    assert float(least) < float(most)
    assert (left, right) == ("-6", "6")


def test_no_scale_says_that_a_size_may_be_negative(rows: list[Row]) -> None:
    within = next(row for row in rows if row["state"] == "within")
    small = {**within, "value": 0.001, "low": 0.0, "high": 0.16, "at_least": None}
    begins = 380.0
    assert scale_of(plot([small]))[1] == pytest.approx(begins, abs=0.5)
    assert scale_of(plot([{**small, "low": -0.04}]))[1] > begins + 20


def test_where_a_value_stands_is_told_by_the_shape_of_its_dot(rows: list[Row]) -> None:
    shapes = {}
    for state in ("within", "outside", "too close to call"):
        svg = plot([next(row for row in rows if row["state"] == state)])
        dots = re.findall(r"<circle[^>]*>|<path d=\"M[\d. ]+l7 7l[^>]*>", svg)
        shapes[state] = re.sub(r'"[\d.]+"|M[\d. ]+|#(?!FFFFFF)\w{6}', "", dots[0])
    assert len(set(shapes.values())) == 3


def test_nothing_in_it_runs_or_is_fetched(rows: list[Row]) -> None:
    svg = plot(rows)
    assert not re.search(r"<script|<style|<image|<foreignObject|href|url\(|\son\w+=", svg)
    assert set(re.findall(r"https?://[^\s\"]+", svg)) == {"http://www.w3.org/2000/svg"}


def test_what_xml_has_no_place_for_is_shown_by_a_sign(rows: list[Row]) -> None:
    strange = {**rows[-1], "engine": "a\x00b\x1b[31m\ufffe", "check": "]]></title><script>x"}
    svg = plot([strange])
    assert "\N{REPLACEMENT CHARACTER}" in svg
    assert texts(svg)[0].endswith("]]></title><script>x")


def test_many_jobs_make_it_longer_and_names_are_cut(rows: list[Row]) -> None:
    long = {**rows[-1], "job": "J" * 80, "engine": "engine " * 30}
    svg = plot([long] * 200)
    assert max(len(text) for text in texts(svg)[2:]) < 50
    assert int(ET.fromstring(svg).attrib["height"]) > 200 * 30  # noqa: S314 - ours


def test_a_value_known_exactly_is_drawn(rows: list[Row]) -> None:
    exact = {**rows[-1], "u": 0.0, "low": 0.0, "high": 0.0, "value": 0.0, "at_least": None}
    assert len(centres(plot([{**exact, "at_most": None}]))) == 2  # and in the legend


def test_what_can_not_be_drawn_on_one_scale_is_refused(rows: list[Row]) -> None:
    with pytest.raises(BadAct, match="has a value"):
        plot([row for row in rows if row["value"] is None])
    with pytest.raises(BadAct, match=r"N\.m"):
        plot([rows[-1], {**rows[-1], "unit": "N.m"}])
