"""Start the window: one application, one desk."""

import os
import sys
from pathlib import Path

from capture.desk import memory as remembering
from capture.edge import Edge
from capture.errors import WrongUse

_MISSING = (
    "the window needs libraries that this machine lacks ({lacks}); on Debian or Ubuntu: "
    "apt-get install libgl1 libegl1 libglib2.0-0 libfontconfig1 libfreetype6 libxkbcommon0 "
    "libdbus-1-3 libx11-6 libxcb-cursor0 libxcb-icccm4 libxcb-image0 libxcb-keysyms1 "
    "libxcb-randr0 libxcb-render-util0 libxcb-shape0 libxcb-xkb1 libxcb-util1 "
    "libxkbcommon-x11-0 libx11-xcb1"
)
_SETTLED_MS = 1500  # after the first paint: nobody measures sooner
_SWITCH_S = 0.001  # how long another thread may keep the window waiting for the interpreter


def run(edge: Edge, book: Path | None, *, theme: str = "", scale: int = 0) -> int:
    """Show the window until it is closed; return the exit code.

    ``scale`` is in per cent, ``theme`` light or dark; what is not given is as it was last time.
    Raises WrongUse where Qt's libraries are missing, naming them.
    """
    memory = remembering.recall()
    if theme in {"system", "light", "dark"}:
        memory.theme = theme  # type: ignore[assignment] # one of the three
    if scale in remembering.SCALES:
        memory.scale = scale
    # Qt reads it when the application is made, and not again.
    os.environ.setdefault("QT_SCALE_FACTOR", f"{memory.scale / 100:g}")
    sys.setswitchinterval(_SWITCH_S)

    try:
        from PySide6.QtWidgets import QApplication  # noqa: PLC0415 - after the scale is set
    except ImportError as lacking:
        raise WrongUse(_MISSING.format(lacks=lacking)) from lacking

    from PySide6.QtCore import QTimer  # noqa: PLC0415 - the same

    from capture.desk.aside import Aside  # noqa: PLC0415 - the same
    from capture.desk.bench import sentence_on  # noqa: PLC0415 - the same
    from capture.desk.desk import Desk  # noqa: PLC0415 - the same
    from capture.desk.errands import wait_for_all  # noqa: PLC0415 - the same
    from capture.desk.look.icon import app_icon  # noqa: PLC0415 - the same
    from capture.desk.themes import follow_theme  # noqa: PLC0415 - the same
    from capture.desk.window import Window  # noqa: PLC0415 - the same
    from capture.intake.decode import standby  # noqa: PLC0415 - the same

    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)  # noqa: S101 - nothing else is made in this process
    app.setApplicationName("benchproof")
    app.setApplicationDisplayName("Benchproof")
    app.setDesktopFileName("benchproof")
    app.setStyle("Fusion")
    app.setWindowIcon(app_icon())
    desk = Desk(edge, memory)
    sys.excepthook = lambda _, error, __: desk.refused.emit(sentence_on(error))
    aside = Aside()
    desk.measure = aside.measure
    QTimer.singleShot(_SETTLED_MS, aside.warm)
    QTimer.singleShot(_SETTLED_MS, standby.begin)
    follow_theme(app, desk)
    window = Window(desk)
    window.fit(memory.width or 1280, memory.height or 800)
    window.show()
    if book is not None:
        desk.open(book)
    code = app.exec()
    wait_for_all()
    aside.close()
    standby.end()
    return code
