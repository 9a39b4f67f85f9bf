"""A book is read without Python's search for reference cycles, of which its records have none.

The search looks at every record again and again while ten thousands of them are made, and finds
nothing: it can take longer than the reading itself.
"""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def unhindered() -> Iterator[None]:
    """Put the search for cycles off to the end of a block; may be nested."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
