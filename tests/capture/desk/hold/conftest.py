"""The small plan's cover, shown."""

import pytest

from capture.desk.hold.screen import HoldScreen
from tests.capture.desk.hold.shown import shown


@pytest.fixture
def cover(small, qtbot) -> HoldScreen:
    return shown(small, qtbot, "cover")
