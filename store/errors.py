"""What can go wrong in keeping, judging and proving.

StoreError
  BadPlan            a plan that contradicts itself or lacks something
  BadRecord          bytes that are not a record of this format
  BadPhotoId         text that is not a SHA-256
  NotABook           a folder without a book, or of a format this version does not read
  BookExists         a new book would overwrite one
  CannotRead         a file to be taken in could not be read; nothing was kept
  CannotDerive       a value can't be worked out from these readings; says why
  BadAct             something was asked that can't be done: a strike without a reason, say
  CannotWrite        the disk is full, read-only, or failing; nothing was kept
    Busy             another program is writing to the book; says which, if known
    DiskFailed       the ledger could not be read or written now: says nothing of what is in it
    NetworkFolder    the book lies on a network file system, where a lock can't be trusted
  Damaged            the book contradicts itself; 'verify' lists every finding
    PhotoMissing     in the ledger, not among the photos
    PhotoAltered     bytes no longer match the id
  NotProven          a hold point refuses: what it hides is not proven
  NoSuchEntry        an entry cited by hash or number is not in the ledger
  BadKey             a signing key that can't be used; says why
  NotAPack           a file or folder that is no pack at all
  BadPack            a pack that is refused before anything in it is believed
    BadSignature     a file that is no signature of what it is said to sign
  PackStopped        the user stopped the making of a pack; nothing was left behind
"""


class StoreError(Exception):
    """Root of everything this package raises on purpose."""


class BadPlan(StoreError):
    """A plan that contradicts itself or lacks something."""


class BadRecord(StoreError):
    """Bytes that are not a record of this format."""


class BadPhotoId(StoreError):
    """Text that is not a SHA-256 in lower-case hex."""


class NotABook(StoreError):
    """A folder without a book, or of a format this version does not read."""


class BookExists(StoreError):
    """A new book would overwrite one."""


class CannotRead(StoreError):
    """A file to be taken in could not be read; nothing was kept."""


class CannotDerive(StoreError):
    """A value can't be worked out from these readings."""


class BadAct(StoreError):
    """Something was asked that can't be done; nothing was kept."""


class CannotWrite(StoreError):
    """The disk is full, read-only, or failing; nothing was kept."""


class Busy(CannotWrite):
    """Another program is writing to the book."""


class DiskFailed(CannotWrite):
    """The ledger could not be read or written now; that says nothing of what is in it."""


class NetworkFolder(CannotWrite):
    """The book lies on a network file system, where a lock can't be trusted."""


class Damaged(StoreError):
    """The book contradicts itself; 'verify' lists every finding."""


class PhotoMissing(Damaged):
    """In the ledger, not among the photos."""


class PhotoAltered(Damaged):
    """Bytes no longer match the id."""


class NotProven(StoreError):
    """A hold point refuses. ``unproven`` lists (key, why) in walking order."""

    def __init__(self, message: str, unproven: tuple[tuple[str, str], ...]) -> None:
        super().__init__(message)
        self.unproven = unproven


class NoSuchEntry(StoreError):
    """An entry cited by hash or number is not in the ledger."""


class BadKey(StoreError):
    """A signing key that can't be used."""


class NotAPack(StoreError):
    """A file or folder that is no pack at all."""


class BadPack(StoreError):
    """A pack that is refused before anything in it is believed."""


class BadSignature(BadPack):
    """A file that is no signature of what it is said to sign."""


class PackStopped(StoreError):
    """The user stopped the making of a pack; nothing was left behind."""
