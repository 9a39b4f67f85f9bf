"""One press in the oil hole -> both rims -> accepted -> the coverage stands in the book."""

import pytest

from annotate.result import Known
from capture.verifying import verify_book
from store.evidence import Marked
from tests.capture.desk.marking.conftest import accept, find
from tests.capture.samples import HOLES


def test_one_press_and_one_key_file_a_coverage_that_holds_the_truth(
    demo, filed, opened, qtbot
) -> None:
    photo = filed("bearing-3.jpg")
    screen = opened("B3.covered", photo)
    assert screen.question == "Press anywhere inside the bearing hole"
    assert not screen.column.accept_verb.isEnabled()

    find(screen, HOLES["bearing-3.jpg"]["click"], qtbot)
    layer = screen.canvas.layer()
    assert layer.rim("near") is not None
    assert layer.rim("far") is not None
    sizes = screen.placing.sizes().givens
    thick = 2 * sizes.wall.to("mm").value / sizes.near_diameter.to("mm").value
    assert layer.rim("far").wall_hint.radii == pytest.approx(thick)
    assert screen.question == "Do both rims lie on their edges?"
    entries = demo.round.entries

    told = []
    demo.told.connect(told.append)
    accept(screen, demo, qtbot)
    assert demo.where.room == "location"
    check = demo.round.check("B3.covered")
    marked = check.current.record
    assert isinstance(marked, Marked)
    assert (marked.photo, marked.layer.rim("near")) == (photo, layer.rim("near"))
    assert isinstance(marked.result.covered, Known)
    low, high = marked.result.covered.quantity.interval()
    # What the picture was rendered from (sample_images/answers.toml).
    assert low <= HOLES["bearing-3.jpg"]["covered"] <= high
    assert demo.round.entries > entries
    assert check.verdict is not None
    assert "marks no. 1 on this photo" in told[-1]
    # What the camera's lean did: in points where its side is known, else that both are counted.
    assert "mm" in told[-1]
    assert "points of coverage" in told[-1] or "both sides are allowed for" in told[-1]
    demo.bench.close()
    demo.bench.close = lambda: None
    assert verify_book(demo.root, version="0.0-test") == []


def test_nobody_is_sent_to_take_again_what_is_clearly_within(demo, filed, opened, qtbot) -> None:
    photo = filed("bearing-1.jpg", "B1")
    screen = opened("B1.covered", photo)
    find(screen, HOLES["bearing-1.jpg"]["click"], qtbot)
    told = []
    demo.told.connect(told.append)
    accept(screen, demo, qtbot)
    assert demo.round.check("B1.covered").state == "within"
    (said,) = (words for words in told if words.startswith("filed as marks no. 1"))
    assert "Leaning" in said
    assert "take it again" not in said
