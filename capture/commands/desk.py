"""benchproof desk: open the window at the bench."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_by

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof desk
  benchproof desk job-12
  benchproof desk job-12 --by "A. Fitter" --theme dark --scale 150"""

_SCALES = (100, 125, 150, 175, 200, 225, 250)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "book", metavar="BOOK", type=Path, nargs="?", help="the job to go on with; without it the "
        "window offers a new job, one that is there, and the demo job"
    )  # fmt: skip
    parser.add_argument("--theme", choices=("system", "light", "dark"), default="",
                        help="default: as last time, at first the system's")  # fmt: skip
    parser.add_argument("--scale", type=int, choices=_SCALES, default=0, metavar="PERCENT",
                        help="size of everything, 100 to 250 in steps of 25 (default: as last "
                        "time)")  # fmt: skip
    parser.add_argument("--add-to-menu", action="store_true",
                        help="add the program to the desktop's menu, and leave")  # fmt: skip
    add_by(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Show the window until it is closed."""
    from capture.errors import WrongUse  # noqa: PLC0415 - not for a mere --help

    if given.add_to_menu:
        return _add_to_menu()
    if given.book is not None and not given.book.is_dir():
        raise WrongUse(f"there is no folder {given.book}: leave it out to begin a job")
    from capture.desk.app import run as show  # noqa: PLC0415 - the window alone needs Qt

    return show(edge, given.book, theme=given.theme, scale=given.scale)


def _add_to_menu() -> int:
    from capture.commands.edge import say  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.desk.menu_entry import add_to_menu, data_home, own_command  # noqa: PLC0415 - the same

    say(f"menu entry {add_to_menu(data_home(), own_command())}")
    return DONE
