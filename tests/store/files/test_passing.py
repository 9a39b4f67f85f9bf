"""Which errors are the machine's for the moment, and which tell of what was read."""

import errno
import os
from collections.abc import Callable

import cv2
import pytest

from store.errors import Busy, CannotRead, Damaged, DiskFailed, NotABook
from store.files.passing import cannot_read_now, is_passing, why_passing
from store.finding import not_read


def failed(number: int, path: str | None = None) -> OSError:
    return OSError(number, os.strerror(number), path)


def no_memory_for_opencv() -> Exception:
    error = cv2.error("Insufficient memory (Failed to allocate 4000000000 bytes)")
    error.code = -4
    return error


def raised_from(error: Exception, cause: Exception) -> Exception:
    error.__cause__ = cause
    return error


def raised_while(context: Exception, raising: Callable[[], None]) -> Exception:
    """Return what is raised while an error is dealt with."""
    try:
        try:
            raise context
        except type(context):
            raising()
    except Damaged as error:
        return error
    raise AssertionError("nothing was raised")


def damaged() -> None:
    raise Damaged("is no zip")


def damaged_from_none() -> None:
    raise Damaged("is no zip") from None


@pytest.mark.parametrize(
    "error",
    [
        failed(errno.EIO),
        failed(errno.EMFILE),
        failed(errno.ENOMEM),
        failed(errno.EACCES),
        MemoryError(),
        # The dynamic linker's words for a shared object that can't be opened now (ld.so(8)).
        ImportError("libx.so: cannot open shared object file: Too many open files"),
        ModuleNotFoundError("No module named 'late'"),
        RuntimeError("can't start new thread"),
        no_memory_for_opencv(),
        CannotRead("x could not be read"),
        DiskFailed("The disk failed on ledger.db"),
        Busy("another program is using this book"),
        raised_from(NotABook("x can't be read"), failed(errno.EIO)),
        raised_while(failed(errno.EIO), damaged),
    ],
    ids=repr,
)
def test_what_the_machine_does_passes(error: Exception) -> None:
    assert is_passing(error)


@pytest.mark.parametrize(
    "error",
    [
        None,
        failed(errno.ENOENT),
        failed(errno.ENOTDIR),
        failed(errno.EISDIR),
        failed(errno.ELOOP),
        failed(errno.ENAMETOOLONG),
        OSError("image file is truncated"),  # a library's own, of the bytes it read
        ValueError("not a number"),
        RuntimeError("the zip is encrypted"),
        RecursionError("maximum recursion depth exceeded"),
        cv2.error("(-215:Assertion failed)"),
        Damaged("the lines contradict themselves"),
        raised_from(Damaged("x is gone"), failed(errno.ENOENT)),
        raised_while(failed(errno.EIO), damaged_from_none),
    ],
    ids=repr,
)
def test_what_the_bytes_or_their_names_bring_about_does_not(error: Exception | None) -> None:
    assert not is_passing(error)


def test_it_is_said_in_a_few_words_with_the_file_and_no_number() -> None:
    error = raised_from(ValueError("?"), failed(errno.EMFILE, "book/photos/82"))
    finding = not_read(error, "photos")
    assert (finding.severity, finding.where) == ("unread", "photos")
    assert "could not be read now: too many open files (82); " in finding.detail
    assert "try again" in finding.detail
    said = str(cannot_read_now(error, "the key"))
    assert said.startswith("the key could not be read now: too many open files (82); ")
    assert "Errno" not in finding.detail + said


def test_a_part_of_the_program_and_memory_are_named() -> None:
    assert why_passing(MemoryError()) == "there is not enough memory"
    said = why_passing(ImportError("libx.so: cannot read file data: Input/output error"))
    assert said.startswith("a part of this program could not be loaded (libx.so: ")
