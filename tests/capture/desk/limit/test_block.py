"""The block on a real book: what is filed is drawn, and said."""

import pytest
from PySide6.QtGui import QColor

from capture.desk.bench import Work
from capture.desk.limit.block import HEIGHT, LimitBlock
from capture.desk.limit.places import BLADE_TOP, MIDDLE_Y
from capture.desk.look.palette import DARK, LIGHT
from store.round import Round


@pytest.fixture
def block(qtbot) -> LimitBlock:
    made = LimitBlock()
    qtbot.addWidget(made)
    made.resize(928, HEIGHT)
    made.show()
    return made


def filed(desk, qtbot, *acts: Work) -> Round:
    """Have acts done, one after another, and return where the job stands after them."""
    done: list[object] = []
    for act in acts:
        desk.act(act, then=done.append, refused=lambda refused: done.append(refused.sentence))
    qtbot.waitUntil(lambda: len(done) == len(acts))
    assert not [each for each in done if isinstance(each, str)], done
    return desk.round


def test_not_measured_shows_the_walls_and_asks_for_the_reading(small, block) -> None:
    block.show_check(small.round.check("P1.depth"), small.round)
    assert block.heading == "Not measured"
    assert block.line is not None
    assert block.line.stem is None
    assert len(block.line.faces) == 2
    assert "type the reading" in block.accessibleDescription()


def test_a_reading_is_drawn_and_said(small, block, qtbot) -> None:
    known = filed(small, qtbot, lambda j: j.reading("P1.depth", "3.1 mm +- 0.05 mm BELOW"))
    block.show_check(known.check("P1.depth"), known)
    assert block.heading == "Within"
    words = block.accessibleDescription()
    assert "BELOW" in words
    assert "Limit: at least 2\u00a0mm BELOW" in words
    assert block.line is not None
    assert block.line.stem == pytest.approx(block.line.axis.at(3.1))


def test_a_grid_shows_no_line_before_all_is_in(benched, block, qtbot) -> None:
    known = filed(benched, qtbot, lambda j: j.reading("M1.journal", "58.352"))
    block.show_check(known.check("M1.journal"), known)
    assert block.line is None
    assert block.heading == "Not measured yet"
    assert "3 to go" in " ".join(block.said.following)
    more = ["58.351", "58.353", "58.352"]
    known = filed(
        benched, qtbot, *[lambda j, text=text: j.reading("M1.journal", text) for text in more]
    )
    block.show_check(known.check("M1.journal"), known)
    assert block.said.heading == "Within"
    assert "mean of 4" in block.accessibleDescription()


def test_an_agreement_is_shown_at_both_of_its_routes(benched, block, qtbot) -> None:
    known = filed(
        benched,
        qtbot,
        *[lambda j: j.reading("M1.journal", "58.350", stands="looked again") for _ in range(4)],
        lambda j: j.reading("M1.bore", "0.040 bigger", zero=j.zero_on("58.350 mm"), stands="so"),
        lambda j: j.reading("M1.strip", "0.038 mm", stands="looked again"),
    )
    assert known.check("M1.ways").value is not None
    block.show_check(known.check("M1.clearance"), known)
    assert "M1.strip agrees (En" in " ".join(block.said.agreeing)
    assert "Next" not in block.accessibleDescription()
    # Room for the long words, whatever the font: where there is less, shorter ones stand.
    block.resize(2400, HEIGHT)
    block.show_check(known.check("M1.ways"), known)
    assert block.line is not None
    assert "limit: En at most 1" in [text.text for text in block.line.texts]


def test_answers_have_words_and_no_line(benched, block, qtbot) -> None:
    known = filed(
        benched,
        qtbot,
        lambda j: j.reading("S1.seated", "no"),
        lambda j: j.reading("S1.sealant", "black sealant, batch 7"),
    )
    block.show_check(known.check("S1.seated"), known)
    assert (block.heading, block.line) == ("Outside", None)
    assert "Answered no." in block.accessibleDescription()
    block.show_check(known.check("S1.sealant"), known)
    assert (block.heading, block.line) == ("Recorded", None)
    assert "\u201cblack sealant, batch 7\u201d" in block.accessibleDescription()


def test_while_rims_are_placed_nothing_sways_the_hand(small, block, qtbot) -> None:
    known = filed(small, qtbot, lambda j: j.reading("P1.depth", "3.1 mm BELOW"))
    block.show_check(known.check("P1.depth"), known, cover="rims being placed")
    words = block.accessibleDescription()
    assert block.line is None
    assert block.said.sign is None
    for told in ("mm", "imit", "ithin", "BELOW"):
        assert told not in words


def test_without_a_check_nothing_is_said(small, block) -> None:
    block.show_check(small.round.check("P1.depth"), small.round)
    block.show_check(None, small.round)
    assert block.accessibleDescription() == ""
    assert block.line is None


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_stem_blade_and_wall_are_painted_where_they_stand(small, block, qtbot, palette) -> None:
    known = filed(small, qtbot, lambda j: j.reading("P1.depth", "3.1 mm +- 0.2 mm BELOW"))
    block.wear(palette)
    block.show_check(known.check("P1.depth"), known)
    picture = block.grab().toImage()
    line = block.line
    assert line is not None

    def colour(x: float, y: float) -> str:
        return QColor(picture.pixel(round(x), round(y))).name().upper()

    assert colour(line.stem, MIDDLE_Y + 5) == palette.within
    assert colour(line.faces[0].x, MIDDLE_Y) == palette.ink
    blade = line.blades[-1].box
    assert colour(blade.x + blade.width / 2, BLADE_TOP + 5) == palette.within


def test_a_narrower_block_is_laid_out_again(small, block, qtbot) -> None:
    known = filed(small, qtbot, lambda j: j.reading("P1.depth", "3.1 mm BELOW"))
    block.show_check(known.check("P1.depth"), known)
    block.resize(672, HEIGHT)
    assert block.line is not None
    assert block.line.width == 672
    assert all(text.box.right <= 672 for text in block.line.texts)
