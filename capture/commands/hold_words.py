"""What came of closing a hold point -> lines for a person, or one answer for a program."""

from typing import TYPE_CHECKING

from capture.commands.edge import say, say_json, warn

if TYPE_CHECKING:
    from store.pack.job_closed import JobClosed
    from store.written.closing import Closing


def say_closing(closing: "Closing", job: "JobClosed | None" = None, *, as_json: bool) -> None:
    """Say whether a part may go on, and everything that is unproven if it may not.

    ``job`` is what was kept when this was the last hold point that was open.
    """
    # A count that does not close refuses nothing by itself, and is said before anything is hidden.
    for sentence in closing.counts_open:
        warn(f"count: {sentence}")
    if as_json:
        _say_json(closing, job)
    if closing.entry is None:
        _say_refused(closing)
    elif not as_json:
        _say_closed(closing, closing.entry.seq)
        if job is not None:
            _say_job_closed(job)


def seal_wanted(hold_id: str) -> str:
    """Return what is still to do at a hold point that was closed and is not sealed."""
    return (
        "closed, not sealed: file the photo of what closes it, with "
        f'--at {hold_id} --role "what closes it"'
    )


def _say_json(closing: "Closing", job: "JobClosed | None") -> None:
    hold = closing.hold
    say_json(
        {
            "hold_point": hold.id,
            "state": "closed" if hold.closed else "open",
            "unproven": [{"key": key, "why": why} for key, why in hold.unproven],
            "counts_open": list(closing.counts_open),
            "unsealed": hold.unsealed,
            "job_closed": closing.ends_job,
            "checkpoints": [
                {"bench": each.bench, "entries": each.entries, "root": each.root}
                for each in (job.checkpoints if job else ())
            ],
        }
    )


def _say_job_closed(job: "JobClosed") -> None:
    say("no hold point is open any more: the job is closed, and a checkpoint of it is kept")
    for each in job.checkpoints:
        say(f"{each.bench}: {each.entries} entries, root {each.root}")
    say(f"signed with {job.fingerprint}")
    say("send the root out of the shop, to the customer: what is before it then stays as it is")


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
