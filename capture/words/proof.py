"""What a book can be held to later, in words that can be sent to a customer."""

from capture.vouched import KeptRoot, Vouched
from capture.words.quantities import count_text

CLOSED = "The job is closed. Send this out of the shop today, to the customer."
KEPT = "Send this out of the shop, to the customer, in another way than the pack."
NOT_YET = (
    "Nothing is kept yet that could be sent: closing the last hold point keeps it, and so does "
    "every pack."
)
WHY = (
    "Whoever holds it can see later that nothing before it was rewritten, and that reports and "
    "packs are this shop's own. It gives nothing away."
)
_LATER = "Compare it with a later pack or report of this job: the same must stand there."


def title_of(told: Vouched) -> str:
    """Return what to do with it."""
    if not told.roots:
        return NOT_YET
    return CLOSED if told.closed else KEPT


def facts_of(told: Vouched) -> list[tuple[str, str]]:
    """Return (name, characters) of everything that is to be compared, grouped for the eye."""
    facts = [(_root_name(root), grouped(root.root)) for root in told.roots]
    if told.key:
        kind, colon, digest = told.key.partition(":")
        facts.append(("Key that signs the packs", f"{kind}{colon} {grouped(digest)}"))
    if told.certificate:
        facts.append(("Certificate that signs the reports", grouped(told.certificate)))
    return facts


def notes_of(told: Vouched) -> list[str]:
    """Return what to mind: entries that came since, and what could not be kept or made."""
    notes = [
        f"{count_text(root.later, 'entry', 'entries')} of {root.bench} came since: the next pack "
        "keeps a root over everything."
        for root in told.roots
        if root.later
    ]
    if told.trouble:
        notes.insert(0, f"Not everything could be kept: {told.trouble}")
    return notes


def message_of(told: Vouched) -> str:
    """Return the text to send: plain lines, characters in one piece so that a program compares."""
    lines = [f"Job {told.job}, {told.engine}: please keep this message.", ""]
    for root in told.roots:
        lines += [f"{_root_name(root)}:", root.root]
    if told.key:
        lines += ["Key that signs the packs:", told.key]
    if told.certificate:
        lines += ["Certificate that signs the reports (SHA-256):", told.certificate]
    return "\n".join([*lines, "", _LATER]) + "\n"


def grouped(digits: str) -> str:
    """Return characters in groups of eight: they can be compared, and the line can break."""
    return " ".join(digits[at : at + 8] for at in range(0, len(digits), 8))


def _root_name(root: KeptRoot) -> str:
    return f"Root over the first {count_text(root.entries, 'entry', 'entries')} of {root.bench}"
