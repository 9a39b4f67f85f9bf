"""Where to look: the part of a photo that shows a hole large enough to see its edges."""

from annotate.marks import Layer, Point
from annotate.pane.rim_fit import fit_rim

_SHARE = 0.5  # of the view's shorter side, that a hole's larger diameter takes


def hole_view(layer: Layer, width: int, height: int) -> tuple[Point, float] | None:
    """Return centre and zoom (screen pixels per pixel) that show the near rim, None without one."""
    near = layer.rim("near")
    fitted = fit_rim(near) if near is not None else None
    if fitted is None or min(width, height) <= 0:
        return None
    outline = fitted.outline
    zoom = _SHARE * min(width, height) / (2 * outline.semi_major)
    return Point(outline.cx, outline.cy), zoom


def shows_whole(layer: Layer, zoom: float, width: int, height: int) -> bool:
    """Tell whether a view of this size, at this zoom, shows all of the photo."""
    return layer.width_px * zoom <= width + 1 and layer.height_px * zoom <= height + 1
