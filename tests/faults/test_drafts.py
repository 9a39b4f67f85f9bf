"""Marks that are not accepted yet, on a disk that fails: the last ones kept are there."""

import errno
import itertools
from pathlib import Path

import pytest

from annotate.marks import Layer, Rim
from capture.desk.marking.drafts import Draft, Drafts
from tests.faults.injector import failing


def draft(x_px: float) -> Draft:
    rim = Rim(which="near", points_px=((x_px, 30.0), (40.0, 60.0), (50.0, 0.0)), sigma_px=0.5)
    layer = Layer(width_px=640, height_px=480, marks=(rim,))
    return Draft(book="job", key="OH2.cover", photo="a" * 64, by="R. Tamm", layer=layer)


def found(folder: Path) -> Draft | None:
    """Return what the next window finds."""
    return Drafts(folder).find("job", "OH2.cover", "a" * 64, by="R. Tamm")


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EROFS, errno.EMFILE])
def test_a_draft_is_the_older_or_the_newer_wherever_writing_fails(
    tmp_path: Path, number: int
) -> None:
    folder, drafts, refused = tmp_path / "marks", Drafts(tmp_path / "marks"), 0
    older = draft(1.0)
    assert drafts.keep(older)
    for step in itertools.count(1):
        newer = draft(1.0 + step)
        with failing(step, number) as fault:
            is_kept = drafts.keep(newer)
        refused += not is_kept
        assert drafts.find("job", "OH2.cover", "a" * 64, by="R. Tamm") == newer  # at hand
        assert found(folder) in ((newer,) if is_kept else (older, newer))
        assert drafts.keep(newer)  # and it goes on when the fault is gone
        older = newer
        assert len(list(folder.iterdir())) == 1
        if not fault.fired:
            break
    assert refused >= 3
