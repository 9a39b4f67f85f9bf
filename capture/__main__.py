"""The command line: ``benchproof VERB ...``. Only the verb that is asked for is loaded."""

import signal
import sys

# Until ``main`` can say a sentence, Ctrl-C ends the program at once and without a traceback. Where
# another program imports this, the signal is that program's.
_IS_THE_PROGRAM = __name__ == "__main__" or "benchproof" in sys.argv[0].rpartition("/")[2]
if _IS_THE_PROGRAM:
    signal.signal(signal.SIGINT, signal.SIG_DFL)

import argparse
import os
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import NoReturn

from capture.commands.verbs import EXIT_CODES, VERBS, verbs_by_heading

_USED_WRONGLY, _OUR_BUG, _STOPPED = 2, 70, 130

if _IS_THE_PROGRAM:
    # Matrices here are small: another thread of numpy's would spend more on waiting than it takes
    # over, and sums would round by how many processors there are. Read when numpy is loaded.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # OpenCV's other threads wait busily for the next small piece of work: with two of them a click
    # on 12 megapixels took a tenth more of the processor, and no less time. Read when it is loaded.
    os.environ.setdefault("OPENCV_FOR_THREADS_NUM", "1")


def main(arguments: Sequence[str] | None = None) -> int:
    """Return the exit code of one command; every refusal is one sentence on stderr."""
    try:
        if _IS_THE_PROGRAM:
            signal.signal(signal.SIGINT, signal.default_int_handler)
        return _work(arguments)
    except KeyboardInterrupt:
        return _tell_stopped()
    finally:
        _drop_unwritten()
        if _IS_THE_PROGRAM:
            signal.signal(signal.SIGINT, signal.SIG_DFL)


def _drop_unwritten() -> None:
    """Forget what stdout can't take: Python would try once more, and say so in its own words."""
    # There may be none, or one that is closed.
    with suppress(AttributeError, ValueError):
        try:
            sys.stdout.flush()
        except OSError:
            _close_pipe()


def _work(arguments: Sequence[str] | None) -> int:
    for stream in (sys.stdout, sys.stderr):
        # A terminal that can't show a degree sign must not end the work.
        with suppress(AttributeError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr] # not on every stream
    given = list(sys.argv[1:] if arguments is None else arguments)
    if empty := _empty_in(given):
        return _tell(empty, _USED_WRONGLY)
    try:
        asked = _parse(_with_signs_kept(given))
    except SystemExit as left:  # argparse's own way out: help, or used wrongly
        return left.code if isinstance(left.code, int) else _USED_WRONGLY
    try:
        from capture.edge import edge_of_machine  # noqa: PLC0415 - not for a mere --help

        edge = edge_of_machine(getattr(asked, "by", None))
        return _work_ahead(int(import_module(f"capture.commands.{asked.verb}").run(asked, edge)))
    except BrokenPipeError:
        return _close_pipe()
    except Exception as error:  # noqa: BLE001 - the last resort: no traceback is ever shown
        return _tell_refusal(error, given)


def _work_ahead(code: int) -> int:
    """Leave what takes long for the next one, now that this one has been told; return the code."""
    # Only a verb that has read a whole book has loaded it.
    if ahead := sys.modules.get("capture.commands.ahead"):
        ahead.work_ahead()
    return code


def _empty_in(given: list[str]) -> str:
    """Return a sentence on the first word that says nothing: left alone it would be dropped."""
    for before, word in zip(["benchproof", *given], given, strict=False):
        option = word[:-1] if word.startswith("--") and word.endswith("=") else ""
        if not word.strip() and before.startswith("-"):
            option = before
        if option:
            return f"{option} was given nothing: say what it is, or leave {option} out"
        if not word.strip():
            return f"an empty text was given after {before!r}: say what it is, or leave it out"
    return ""


def _with_signs_kept(given: list[str]) -> list[str]:
    """Return the words with "--click -5,10" joined by "=": argparse takes "-5,10" for an option."""
    joined: list[str] = []
    for word in given:
        last = joined[-1] if joined else ""
        if last.startswith("--") and "=" not in last and word[:1] == "-" and word[1:2].isdigit():
            joined[-1] = f"{last}={word}"
        else:
            joined.append(word)
    return joined


def _parse(given: list[str]) -> argparse.Namespace:
    parser = _Parser(
        prog="benchproof",
        description="Photos, readings and proof for engine reassembly: what was checked, how well "
        "it is\nknown, and what must not be covered yet.",
        epilog=f"verbs:\n{verbs_by_heading()}\n\n{EXIT_CODES}",
        formatter_class=_Layout,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="show the version and leave")
    verbs = parser.add_subparsers(
        dest="verb", metavar="VERB", required=True, help="what to do; benchproof VERB --help"
    )
    asked = next((word for word in given if not word.startswith("-")), "")
    for verb, line in VERBS.items():
        if verb != asked:
            verbs.add_parser(verb, add_help=False)
            continue
        module = import_module(f"capture.commands.{verb}")
        own = verbs.add_parser(
            verb,
            description=line[0].upper() + line[1:] + ".",
            epilog=f"examples:\n{module.EXAMPLES}",
            formatter_class=_Layout,
        )
        module.configure(own)
    return parser.parse_args(given)


class _Parser(argparse.ArgumentParser):
    """Refuses in one sentence: all the options first would hide it. Its verbs' parsers do, too."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong, and where it says what is right, and leave."""
        _tell(f"{message.removeprefix('argument ')}; see {self.prog} --help", _USED_WRONGLY)
        self.exit(_USED_WRONGLY)


class _Layout(argparse.RawDescriptionHelpFormatter):
    """Help with its line breaks kept, as wide as the terminal.

    argparse would load six modules of archives to learn the width.
    """

    def __init__(self, prog: str) -> None:
        try:
            width = os.get_terminal_size().columns
        except OSError:
            width = 80
        super().__init__(prog, width=max(40, min(width, 100)) - 2)


class _Version(argparse.Action):
    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from capture.edge import version  # noqa: PLC0415 - only when asked

        sys.stdout.write(f"benchproof {version()}\n")
        parser.exit(0)


def _tell(sentence: str, code: int) -> int:
    from capture.commands.edge import shown  # noqa: PLC0415 - not for a mere --help

    sentence = shown(sentence)
    sys.stderr.write(f"benchproof: {sentence}\n")
    return code


def _was_stopped(error: BaseException | None) -> bool:
    """Return whether Ctrl-C is behind an error: numpy makes it an ImportError while it loads."""
    while error is not None and not isinstance(error, KeyboardInterrupt):
        error = error.__cause__ or error.__context__
    return error is not None


def _tell_stopped() -> int:
    return _tell("stopped; everything that was kept stays kept", _STOPPED)


def _tell_refusal(error: Exception, given: list[str]) -> int:
    from capture.commands import exits  # noqa: PLC0415 - only when something is refused
    from capture.words.refusals import TOLD, sentence_of  # noqa: PLC0415 - the same

    if isinstance(error, TOLD):
        return _tell(sentence_of(error), exits.code_of(error))
    if _was_stopped(error):
        return _tell_stopped()
    if isinstance(error, MemoryError):
        return _tell(
            "this needs more memory than there is, and nothing new was kept: close other programs, "
            "or look whether what was given is what it should be",
            exits.NOT_READ,
        )
    if isinstance(error, ImportError):
        from store.files.passing import why_passing  # noqa: PLC0415 - the same

        return _tell(
            f"{why_passing(error)}; what was kept before stays kept: close other programs, check "
            "the disk and try again, and if it stays so, install the program again",
            exits.NOT_READ,
        )
    if isinstance(error, UnicodeEncodeError) and _has_half_letters(given):
        return _tell("a text that was given holds bytes that are no letters", _USED_WRONGLY)
    where = _keep_details(error)
    return _tell(
        f"this should not have happened ({type(error).__name__}); what was kept before stays "
        f"kept, and the details are in {where}",
        _OUR_BUG,
    )


def _has_half_letters(given: list[str]) -> bool:
    """Return whether bytes that are no letters were typed: Python hands them on for paths' sake."""
    return any("\ud800" <= letter <= "\udfff" for word in given for letter in word)


def _keep_details(error: Exception) -> str:
    """Write the traceback to a file of its own and return where it is."""
    import tempfile  # noqa: PLC0415 - only for our bugs
    import traceback  # noqa: PLC0415 - the same

    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="benchproof-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.writelines(traceback.format_exception(error))
            return file.name
    except OSError:
        return "no file, for none could be written"


def _close_pipe() -> int:
    """Leave quietly when the reader of our output has gone, as with ``| head``."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


if __name__ == "__main__":
    sys.exit(main())
