"""Take a picture of every screen, light and dark, at two sizes: ``python -m tests.screens OUT``.

The first run works at the demo's job for about a minute; its book is kept beside the pictures.
"""

import argparse
import os
import shutil
import sys
import tempfile
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

SIZES = ((1280, 800), (1920, 1080))
THEMES = ("light", "dark")


def main() -> None:
    """Take them all, or those whose names contain a word."""
    parser = argparse.ArgumentParser(prog="python -m tests.screens", description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--only", metavar="WORD", default="", help="only names with this word")
    parser.add_argument("--size", metavar="WIDTHxHEIGHT", help="one size (default: both)")
    parser.add_argument("--theme", choices=THEMES, help="one theme (default: both)")
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        # Nobody's own settings and drafts may be in the pictures, nor come of them.
        for name in ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME"):
            os.environ[name] = scratch
        _take(given, Path(scratch))


def _take(given: argparse.Namespace, scratch: Path) -> None:
    from PySide6.QtWidgets import QApplication  # noqa: PLC0415 - after the platform is chosen

    from tests.screens.shots import SHOTS  # noqa: PLC0415 - the same
    from tests.screens.stage import Stage  # noqa: PLC0415 - the same
    from tests.screens.worked import half_done  # noqa: PLC0415 - the same

    app = QApplication(sys.argv[:1])
    app.setStyle("Fusion")
    book = half_done(given.out, print)
    sizes = SIZES if not given.size else (tuple(map(int, given.size.split("x"))),)
    for size in sizes:
        for theme in THEMES if not given.theme else (given.theme,):
            for shot in SHOTS:
                if given.only not in shot.name:
                    continue
                # A book of its own for each: what one shot files must not be in the next.
                copy = scratch / "book"
                shutil.rmtree(copy, ignore_errors=True)
                shutil.copytree(book, copy)
                stage = Stage(copy if shot.with_book else None, size, theme)
                shot.walk(stage)
                file = given.out / f"{shot.name}-{theme}-{size[0]}x{size[1]}.png"
                stage.keep(file)
                stage.close()
                print(file)


if __name__ == "__main__":
    main()
