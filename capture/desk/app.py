"""Start the window: one application, one desk."""

import os
import sys
from pathlib import Path

from capture.commands.edge import Edge
from capture.desk import memory as remembering

_SWITCH_S = 0.001  # how long another thread may keep the window waiting for the interpreter


def run(edge: Edge, book: Path | None, *, theme: str = "", scale: int = 0) -> int:
    """Show the window until it is closed; return the exit code.

    ``scale`` is in per cent, ``theme`` light or dark; what is not given is as it was last time.
    """
    memory = remembering.recall()
    if theme in {"system", "light", "dark"}:
        memory.theme = theme  # type: ignore[assignment] # one of the three
    if scale in remembering.SCALES:
        memory.scale = scale
    # Qt reads it when the application is made, and not again.
    os.environ.setdefault("QT_SCALE_FACTOR", f"{memory.scale / 100:g}")
    sys.setswitchinterval(_SWITCH_S)

    from PySide6.QtWidgets import QApplication  # noqa: PLC0415 - after the scale is set

    from capture.desk.desk import Desk  # noqa: PLC0415 - the same
    from capture.desk.errands import wait_for_all  # noqa: PLC0415 - the same
    from capture.desk.look.icon import app_icon  # noqa: PLC0415 - the same
    from capture.desk.themes import follow_theme  # noqa: PLC0415 - the same
    from capture.desk.window import Window  # noqa: PLC0415 - the same

    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)  # noqa: S101 - nothing else is made in this process
    app.setApplicationName("benchproof")
    app.setApplicationDisplayName("Benchproof")
    app.setDesktopFileName("benchproof")
    app.setStyle("Fusion")
    app.setWindowIcon(app_icon())
    desk = Desk(edge, memory)
    follow_theme(app, desk)
    window = Window(desk)
    window.resize(memory.width or 1280, memory.height or 800)
    window.show()
    if book is not None:
        desk.open(book)
    code = app.exec()
    wait_for_all()
    return code
