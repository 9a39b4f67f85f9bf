"""A private key's file: made once, readable by its user alone, never replaced."""

import os
from contextlib import suppress
from pathlib import Path

from store.errors import BadKey
from store.files.disk import cannot_write, make_folder
from store.files.halfmade import clear_left_below, replace_file, write_whole
from store.files.passing import cannot_read_now, is_passing

_LONGEST = 16_384


def key_folder() -> Path:
    """Return the folder of this user that the bench's own keys are kept in."""
    from platformdirs import user_data_path  # noqa: PLC0415 - only where something is signed

    return user_data_path("benchproof")


def clear_left() -> None:
    """Take away what killed programs have left where the bench's own keys lie.

    What another program is making there this moment is held by it, and stays.
    """
    clear_left_below(key_folder())


def make_once(path: Path, private: bytes) -> None:
    """Write a private key whole or not at all; one that is there, or comes meanwhile, stays.

    Raises CannotWrite.
    """
    try:
        _write(path, private)
    except OSError as error:
        raise cannot_write(error, f"the key {path.name}") from error


def lay_beside(path: Path, public: str) -> None:
    """Write the file that may be given to anybody, where it is missing; raises CannotWrite."""
    clear_left_below(path.parent)
    if path.exists():
        return
    try:
        replace_file(path, public.encode())
    except OSError as error:
        raise cannot_write(error, f"the public key {path.name}") from error


def _write(path: Path, private: bytes) -> None:
    def take_a_free_place(part: Path) -> None:
        # A link, not a rename: it never takes the place of a key that is there.
        with suppress(FileExistsError):
            os.link(part, path)

    make_folder(path.parent, 0o700)
    write_whole(path, private, 0o600, take_a_free_place)


def own_bytes(path: Path) -> bytes:
    """Return a key file's bytes; raises BadKey unless it is this user's alone, as ssh asks.

    CannotRead where it could not be read now.
    """
    try:
        with path.open("rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            content = file.read(_LONGEST + 1)
    except OSError as error:
        if is_passing(error):
            raise cannot_read_now(error, f"the key {path}") from error
        raise BadKey(f"the key {path} can't be read: {error.strerror}") from error
    if os.name != "nt" and mode & 0o077:
        raise BadKey(f"others may read the key {path}: run chmod 600 on it first")
    if len(content) > _LONGEST:
        raise BadKey(f"{path} is too large to be a key")
    return content
