"""A stiff printed card in a bore: how high it floats above the metal, and whether it fits."""

from collections.abc import Iterator

from annotate.givens import Givens
from annotate.own_targets import LARGEST_OF_BORE, PIECE_SIDES
from annotate.quantity import Quantity
from annotate.sight.card import floats_mm


def card_notes(side: Quantity | None, givens: Givens) -> Iterator[str]:
    """Yield what is to be said of a marker of this side that lies in a bore; nothing if flat."""
    if side is None or givens.flat:
        return
    likely, most = floats_mm(side, givens)
    bore = givens.bore_diameter
    where = "as no bore is typed" if bore is None else f"in a bore of {bore.to('mm').value:.4g} mm"
    yield (
        f"the card is taken to be stiff and to rest on its two long edges: {where} its middle "
        f"floats about {likely:.1f} mm above the metal, at most {most:.1f} mm, which is in the "
        "interval"
    )
    if bore is not None:
        yield from _too_wide(side.to("mm").value, bore.to("mm").value)


def _too_wide(side_mm: float, bore_mm: float) -> Iterator[str]:
    largest = LARGEST_OF_BORE * bore_mm
    if side_mm <= largest:
        return
    part = f"1/{1 / LARGEST_OF_BORE:.0f}"
    whole = PIECE_SIDES * side_mm
    if whole >= bore_mm:
        yield (
            f"a card {whole:.4g} mm wide, border and all, does not lie in a bore of "
            f"{bore_mm:.4g} mm: check both, or take a marker of at most {largest:.3g} mm"
        )
        return
    yield (
        f"the marker, {side_mm:.4g} mm, is wider than {part} of the bore, {bore_mm:.4g} mm: it "
        f"floats higher than is reckoned with; take one of at most {largest:.3g} mm"
    )
