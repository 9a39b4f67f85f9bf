"""The Qt binding gives back what it borrows.

PySide6 6.12.0 did not on Python 3.11: each call that returned None or a truth value dropped one
reference too many, and "Fatal Python error: none_dealloc" ended the process after some thousands.
"""

import sys

import pytest
from PySide6.QtCore import QCoreApplication, QObject, Signal
from PySide6.QtWidgets import QLabel

CALLS = 500


class Sender(QObject):
    sent = Signal(object)


@pytest.mark.parametrize("kept", [None, True, False])
def test_calls_into_qt_cost_no_references(qtbot, kept: bool | None) -> None:
    sender, shown = Sender(), QLabel()
    qtbot.addWidget(shown)
    sender.sent.connect(lambda _: None)
    calls = (
        lambda: QCoreApplication.sendPostedEvents(),  # noqa: PLW0108 - a call of its own
        lambda: sender.sent.emit(kept),
        lambda: shown.setEnabled(True),
        lambda: shown.isEnabled(),  # noqa: PLW0108 - the same
        lambda: shown.isHidden(),  # noqa: PLW0108 - the same
    )
    for call in calls:
        call()
        before = sys.getrefcount(kept)
        for _ in range(CALLS):
            call()
        assert sys.getrefcount(kept) > before - CALLS / 10
