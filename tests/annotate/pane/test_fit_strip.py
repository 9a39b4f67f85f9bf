import numpy as np
import pytest
from PySide6.QtGui import QColor, QImage

from annotate.marks import Rim
from annotate.pane.fit_strip import FitStrip, StripColours
from annotate.pane.rim_fit import fit_rim
from tests.annotate.pane.rims_drawn import NEAR, far_rim, near_rim


@pytest.fixture
def strip(qtbot) -> FitStrip:
    made = FitStrip()
    qtbot.addWidget(made)
    made.resize(352, made.sizeHint().height())
    return made


def painted(strip: FitStrip) -> np.ndarray:
    image = strip.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)


def columns(image: np.ndarray, colour: str) -> np.ndarray:
    wanted = QColor(colour)
    rgb = np.array([wanted.red(), wanted.green(), wanted.blue()])
    return np.flatnonzero((np.abs(image[:62] - rgb).max(axis=-1) < 25).any(axis=0))


def test_dots_lie_where_the_rim_was_seen_and_hatch_where_not(strip) -> None:
    fit = fit_rim(far_rim(40), NEAR)
    strip.show_fit(fit)
    dots = columns(painted(strip), StripColours().dot)
    (gap,) = fit.unseen
    start, end = (10 + h / 12 * 332 for h in gap)
    assert end < start  # over 12: it is hatched at both ends of the strip
    assert len(dots)
    assert dots.min() > end - 5
    assert dots.max() < start + 5
    hatch = columns(painted(strip), StripColours().hatch)
    assert ((hatch > start + 5) & (hatch < 340)).sum() > 60


def test_a_point_left_out_is_a_cross_at_the_edge_and_no_dot(strip) -> None:
    points = list(near_rim(40).points_px)
    fit = fit_rim(near_rim(40))
    k = int(np.argmin(np.abs(np.array(fit.hours) - 5)))
    points[k] = (points[k][0] + 20, points[k][1] + 20)
    strip.show_fit(fit_rim(Rim("near", tuple(points), 0.5, "found")))
    image = painted(strip)
    near_the_top = columns(image[:14], StripColours().ink)
    assert len(near_the_top)
    assert abs(near_the_top.mean() - (10 + 5 / 12 * 332)) < 12


def test_the_words_reach_a_screen_reader(strip) -> None:
    strip.show_fit(fit_rim(near_rim(48)))
    assert strip.accessibleName() == "how the points follow the near rim"
    assert strip.accessibleDescription() == (
        "48 of 48 points kept. Scatter 0.0 px. Follows all the way round."
    )
    strip.show_fit(None)
    assert strip.accessibleDescription() == "no outline yet"
    assert not len(columns(painted(strip), StripColours().dot))


def test_it_wears_what_it_is_given(strip) -> None:
    strip.wear(StripColours(well="#ffffff", dot="#005e94"))
    strip.show_fit(fit_rim(near_rim(48)))
    assert len(columns(painted(strip), "#005e94"))
    assert (painted(strip)[5, 100] == 255).all()
