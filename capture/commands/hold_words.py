"""What came of closing a hold point -> lines for a person, or one answer for a program."""

from typing import TYPE_CHECKING

from capture.commands.edge import say, say_json, warn

if TYPE_CHECKING:
    from store.closing import Closing


def say_closing(closing: "Closing", *, as_json: bool) -> None:
    """Say whether a part may go on, and everything that is unproven if it may not."""
    # A count that does not close refuses nothing by itself, and is said before anything is hidden.
    for sentence in closing.counts_open:
        warn(f"count: {sentence}")
    if as_json:
        _say_json(closing)
    if closing.entry is None:
        _say_refused(closing)
    elif not as_json:
        _say_closed(closing, closing.entry.seq)


def seal_wanted(hold_id: str) -> str:
    """Return what is still to do at a hold point that was closed and is not sealed."""
    return (
        "closed, not sealed: file the photo of what closes it, with "
        f'--at {hold_id} --role "what closes it"'
    )


def _say_json(closing: "Closing") -> None:
    hold = closing.hold
    say_json(
        {
            "hold_point": hold.id,
            "state": "closed" if hold.closed else "open",
            "unproven": [{"key": key, "why": why} for key, why in hold.unproven],
            "counts_open": list(closing.counts_open),
            "unsealed": hold.unsealed,
        }
    )


def _say_refused(closing: "Closing") -> None:
    hold = closing.hold
    warn(f"{hold.id} can't be closed yet ({hold.name}): {len(hold.unproven)} unproven")
    for key, why in hold.unproven:
        warn(f"  {key}: {why}")


def _say_closed(closing: "Closing", number: int) -> None:
    hold = closing.hold
    say(f"{hold.id} is closed ({hold.name}), entry {number}")
    if hold.unsealed:
        say(seal_wanted(hold.id))
    if hold.caution:
        say(f"caution: {hold.caution}")
