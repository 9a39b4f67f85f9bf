"""The injector of the fault tests fails what is under test, and nothing that is only swept up."""

import errno
import gc
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.injector import failing


class Litter:
    """Garbage in a circle that does something when the collector finds it."""

    def __init__(self, last: Callable[[], object]) -> None:
        self.last, self.itself = last, self

    def __del__(self) -> None:
        self.last()


def test_what_the_collector_ends_meanwhile_is_not_failed(tmp_path: Path) -> None:
    gc.collect()
    ended: list[int] = []
    with (tmp_path / "other").open("wb") as other:
        Litter(lambda: ended.append(os.write(other.fileno(), b"bye")))
        with failing(1, errno.EIO) as fault:
            # More than sets the collector off by itself.
            made = [[number] for number in range(100_000)]
            assert not fault.calls
            with pytest.raises(OSError, match=os.strerror(errno.EIO)):
                os.write(other.fileno(), b"under test")
        assert len(made) == 100_000
        gc.collect()
    assert gc.isenabled()
    assert ended == [3]
    assert fault.fired == "write"
