"""What the next one will ask, worked out when this one has been told: the round, the hold points.

A verb that has read the whole book knows what takes longest. When it is done and has said so, the
rest is worked out from that and kept (``kept_answers``), so that a look at the round, or a closing,
need not wait. A closing that did not read the book leaves that to the next look. It says nothing,
and whatever goes wrong, or Ctrl-C, only ends it: the next one then works it out.
"""

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from capture.commands.kept_answers import HOLDS, KeptAnswer, round_question

if TYPE_CHECKING:
    from store.book import Book
    from store.round import Round
    from store.told.telling import Telling


class _Seen(NamedTuple):
    root: Path
    told: "Telling"
    bench: str
    walked: "Round | None"
    texts: dict[str, str]


_seen: list[_Seen] = []


def see(book: "Book", walked: "Round | None" = None, texts: dict[str, str] | None = None) -> None:
    """Remember a book that was read whole, with what was worked out from it already.

    ``texts`` are answers by their question. A book whose chain is broken is not remembered.
    """
    if book.is_in_chain:
        _seen.append(_Seen(book.root, book.told, book.bench, walked, texts or {}))


def work_ahead() -> None:
    """Work out and keep what was remembered; a book that has changed since is left alone."""
    seen, _seen[:] = tuple(_seen), []
    for each in seen:
        try:
            _keep(each)
        except (Exception, KeyboardInterrupt):  # noqa: BLE001 - nobody asked for it
            return


def _keep(seen: _Seen) -> None:
    from capture.commands.merged_lines import merge_lines  # noqa: PLC0415 - after the user was told
    from capture.commands.walked import round_lines  # noqa: PLC0415 - the same
    from store.known.hold_stands import Stands  # noqa: PLC0415 - the same
    from store.known.unaltered import fingerprint_of  # noqa: PLC0415 - the same
    from store.known.unhindered import unhindered  # noqa: PLC0415 - the same
    from store.standing import standing  # noqa: PLC0415 - the same

    there = fingerprint_of(seen.root, seen.told.entries)
    for question, text in seen.texts.items():
        KeptAnswer(there, question).keep(text)
    holds, lines = KeptAnswer(there, HOLDS), KeptAnswer(there, round_question())
    if not there or (holds.text is not None and lines.text is not None):
        return
    with unhindered():
        walked = seen.walked or standing(seen.told, every_reading=False)
        holds.keep(Stands.of(walked, seen.bench).as_text())
        lines.keep("\n".join([*round_lines(walked), *merge_lines(seen.told)]))
