"""The books of all jobs below some folders, looked through by the index in the user's cache."""

from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path

from msgspec import Struct

from store.errors import CannotWrite
from store.many_jobs.shop_file import ShopFile
from store.many_jobs.sought import Sought
from store.shop import Shop
from store.ways_out.listing import Row

Progress = Callable[[int, int], None]


class Looked(Struct, frozen=True):
    """What was found. ``checks`` is None where only books were asked for.

    ``unread`` are the books that can't be read: whose they are is not known. ``unseen`` says which
    folders could not be looked into, ``no_index`` why every book had to be read anew.
    """

    books: tuple[Row, ...]
    checks: tuple[Row, ...] | None
    unread: tuple[Row, ...]
    unseen: tuple[str, ...] = ()
    no_index: str = ""


def look(
    folders: Iterable[Path], sought: Sought, *, version: str, progress: Progress | None = None
) -> Looked:
    """Return what is found below some folders; the first look reads every book.

    ``progress`` is told (books done, of), and ends the look by raising.
    """
    file, no_index = shop_file(version)
    with closing(Shop(file)) as shop:
        shop.refresh(folders, progress)
        books = tuple(book for book in shop.books(sought) if not book["problem"])
        unread = tuple(book for book in shop.books(Sought()) if book["problem"])
        checks = tuple(shop.checks(sought)) if sought.is_of_checks else None
        return Looked(books, checks, unread, shop.unseen, no_index)


def shop_file(version: str) -> tuple[ShopFile, str]:
    """Return the look-up file in the user's cache; else one in memory, and why."""
    from platformdirs import user_cache_path  # noqa: PLC0415 - only where none is named

    try:
        # In a folder of its own: the answers kept beside it are thinned out by age.
        place = user_cache_path("benchproof-shop", appauthor=False, ensure_exists=True)
        return ShopFile(place / "shop.db", version=version), ""
    except (CannotWrite, OSError) as error:
        return ShopFile(None, version=version), str(error)
