"""Whatever is done, undo leads back through every state, and redo forward again."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt

from annotate.marks import FarUnseen, Layer
from annotate.pane.canvas import PhotoCanvas
from tests.annotate.pane.rims_drawn import canvas, far_rim, near_rim

LEFT = Qt.MouseButton.LeftButton
deeds = st.lists(
    st.sampled_from(["found", "unseen", "drag", "nudge", "next", "other", "delete", "distance"]),
    max_size=12,
)


@pytest.fixture
def pane(qtbot) -> PhotoCanvas:
    return canvas(qtbot)


def do(qtbot, pane: PhotoCanvas, deed: str) -> None:
    match deed:
        case "found":
            pane.set_rims(near_rim(40), far_rim(20))
        case "unseen":
            pane.set_rims(FarUnseen("shut"))
        case "nudge":
            qtbot.keyClick(pane, Qt.Key.Key_Right)
        case "next":
            qtbot.keyClick(pane, Qt.Key.Key_Tab)
        case "other":
            qtbot.keyClick(pane, Qt.Key.Key_X)
        case "delete":
            qtbot.keyClick(pane, Qt.Key.Key_Delete)
        case "distance":
            pane.start_tool("distance")
            qtbot.mouseClick(pane.viewport(), LEFT, pos=QPoint(30, 30))
            qtbot.mouseClick(pane.viewport(), LEFT, pos=QPoint(70, 30))
        case "drag" if pane._editing.handles(0):
            x, y = pane._editing.handles(0)[0]
            start = QPoint(round(x), round(y))
            qtbot.mousePress(pane.viewport(), LEFT, pos=start)
            qtbot.mouseMove(pane.viewport(), start + QPoint(9, 5))
            qtbot.mouseRelease(pane.viewport(), LEFT, pos=start + QPoint(9, 5))


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(done=deeds, walk=st.lists(st.booleans(), max_size=20))
def test_undo_and_redo_in_any_order_show_the_states_that_were(qtbot, pane, done, walk) -> None:
    pane.set_layer(Layer(width_px=800, height_px=600))
    states = [pane.layer()]
    for deed in done:
        before = pane.undo_stack.count()
        do(qtbot, pane, deed)
        if pane.undo_stack.count() > before:
            states.append(pane.layer())
        else:
            states[-1] = pane.layer()  # nothing done, or a nudge joined to the one before
    assert pane.undo_stack.count() == len(states) - 1
    at = len(states) - 1
    for back in walk:
        if back:
            pane.undo()
            at = max(0, at - 1)
        else:
            pane.redo()
            at = min(len(states) - 1, at + 1)
        assert pane.layer() == states[at]
        assert pane._editing.draft_layer == states[at]


def test_undo_has_no_limit(qtbot, pane) -> None:
    first = pane.layer()
    for k in range(300):
        pane.set_rims(near_rim(20 + k % 2))
    for _ in range(300):
        pane.undo()
    assert pane.layer() == first
