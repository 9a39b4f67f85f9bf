"""Which photos of one location can be measured as one hole, and from which marks. No Qt in here."""

from collections.abc import Collection, Sequence
from typing import NamedTuple

from annotate.givens import Givens
from annotate.marks import Layer
from annotate.routes.outlined import outline_of
from capture.desk.marking.acceptance import Accepted, lacking
from capture.desk.marking.lens_kept import KeptLens
from capture.desk.marking.sitting import Sitting
from store.evidence import Marked, PhotoTaken
from store.round import Attempt

FEWEST = 2
NOT_MARKED = "not marked yet: place its rims first"
STRUCK = "its marks were struck: place its rims again"
_DRAWN = "its opening was drawn: that can't be put together with others"
_UNSEEN = "no far rim is seen in it: it says nothing to the others"


class Shown(NamedTuple):
    """One photo of the location. ``marks`` are the last ones on it that count; ``fresh`` says that
    marks placed now, and not accepted yet, take their place. ``why_not`` says why it can't take
    part, empty if it can.
    """  # noqa: D205 - one sentence

    taken: PhotoTaken
    marks: Attempt | None
    fresh: bool
    why_not: str

    @property
    def words(self) -> str:
        """What stands below its name; nothing of what was measured."""
        if self.why_not:
            return self.why_not
        if self.fresh:
            return "with the marks that are placed now"
        assert self.marks is not None  # noqa: S101 - else there is a reason why not
        return f"marked by {self.marks.stamp.by}, entry {self.marks.stamp.seq}"


def shown_photos(sitting: Sitting, placed: Layer) -> list[Shown]:
    """Return the photos of the location that can be shown, with the marks each has by now.

    ``placed`` is the layer in work on the sitting's own photo.
    """
    found = []
    for photo in sitting.place.photos:
        taken = photo.taken
        if photo.struck is not None or not taken.can_be_shown:
            continue
        last = _last_marks(sitting, taken.photo)
        marks = last if last is not None and last.counts else None
        fresh = taken.photo == sitting.taken.photo and not lacking(placed)
        layer = placed if fresh else marks.record.layer if marks else None  # type: ignore[union-attr] # of marks
        found.append(Shown(taken, marks, fresh, _why_not(layer, last)))
    return found


def joined(
    sitting: Sitting,
    shown: Sequence[Shown],
    chosen: Collection[str],
    givens: Givens,
    fresh: tuple[Layer, KeptLens | None],
) -> Accepted:
    """Return what is measured as one: fresh marks with the others', else the last marks with them.

    ``fresh`` are the layer in work and the lens of the sitting's photo.
    """
    members = [each for each in shown if each.taken.photo in chosen and not each.why_not]
    first = max(members, key=lambda each: (each.fresh, each.marks.stamp.seq if each.marks else 0))
    others = tuple(m.marks.stamp.entry for m in members if m is not first and m.marks is not None)
    layer, lens = fresh if first.fresh else _kept(first)
    return Accepted(
        key=sitting.check.key, taken=first.taken, layer=layer, givens=givens, lens=lens,
        together=others,
    )  # fmt: skip


def _last_marks(sitting: Sitting, photo: str) -> Attempt | None:
    """Return the last marks on a photo that count, else the last ones that no longer do."""
    marked = [
        a for a in reversed(sitting.check.attempts)
        if a.photo == photo and isinstance(a.record, Marked)
    ]  # fmt: skip
    return next((a for a in marked if a.counts), marked[0] if marked else None)


def _why_not(layer: Layer | None, last: Attempt | None) -> str:
    if layer is None and last is not None and last.struck is not None:
        return STRUCK
    if layer is None:
        return f"no longer counts: {last.void}" if last is not None else NOT_MARKED
    if outline_of(layer) is not None:
        return _DRAWN
    return "" if layer.rim("far") is not None else _UNSEEN


def _kept(shown: Shown) -> tuple[Layer, KeptLens | None]:
    assert shown.marks is not None  # noqa: S101 - it takes part
    record = shown.marks.record
    assert isinstance(record, Marked)  # noqa: S101 - as above
    lens = KeptLens(record.lens_paper, "", record.lens) if record.lens is not None else None
    return record.layer, lens
