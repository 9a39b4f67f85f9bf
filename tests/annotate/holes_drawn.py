"""Two holes one behind the other, drawn with exact outlines: pictures for the rim finder's tests.

Plain flat tones with a grain, each pixel the mean of 5 x 5 places: nothing of a photo, so what
holds here holds by geometry; but ``in_light`` it is light that is blurred, as by a lens, and coded
as in a file (IEC 61966-2-1). Outlines are ellipses of one shape (parallel planes seen from afar).
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
_FINE = 5


@dataclass(frozen=True)
class Drawn:
    """A drawing: sizes in near radii of ``radius_px``, tones in grey values."""

    width: int = 420
    height: int = 340
    centre: tuple[float, float] = (203.3, 171.6)
    radius_px: float = 78.0
    squash: float = 0.95
    turn_deg: float = 28.0
    back: tuple[float, float, float] | None = (-0.14, 0.0, 0.985)
    far: tuple[float, float, float] | None = (0.55, 0.40, 0.9)
    chamfer: float = 0.0
    face: float = 150.0
    ring: float = 95.0
    wall: float = 70.0
    behind: float = 120.0
    opening: float = 14.0
    end: tuple[float, float, float] | None = None  # inside the far rim: the drilling's other end
    end_blur: float = 1e-9  # near radii over which its border fades
    lit: float = 250.0
    grain: float = 2.0
    blur_px: float = 0.7
    in_light: bool = False

    def to_px(self, unit: Array) -> Array:
        """Return places of the near rim's unit circle in pixels."""
        c, s = np.cos(np.radians(self.turn_deg)), np.sin(np.radians(self.turn_deg))
        x, y = unit[..., 0] * self.radius_px * self.squash, unit[..., 1] * self.radius_px
        return np.stack([self.centre[0] + c * x - s * y, self.centre[1] + s * x + c * y], axis=-1)

    def to_unit(self, px: Array) -> Array:
        """Return pixels in the frame in which the near rim is the unit circle."""
        c, s = np.cos(np.radians(self.turn_deg)), np.sin(np.radians(self.turn_deg))
        x, y = px[..., 0] - self.centre[0], px[..., 1] - self.centre[1]
        across = (c * x + s * y) / (self.radius_px * self.squash)
        return np.stack([across, (c * y - s * x) / self.radius_px], axis=-1)

    def off_px(self, points: Array, ring: tuple[float, float, float]) -> Array:
        """Return how far points lie outside a circle of the unit frame, in pixels (nearly)."""
        unit = self.to_unit(points) - np.array(ring[:2])
        return (np.hypot(unit[:, 0], unit[:, 1]) - ring[2]) * self.radius_px

    def chamfer_top(self) -> tuple[float, float]:
        """Return the middle of a chamfer's top: as high above the rim as it is wide, so moved.

        By the tangent of the tilt that the ellipse's shape tells, against the deeper back edge.
        """
        tangent = np.sqrt(1 - self.squash**2) / self.squash
        deeper = -1.0 if self.back is None else np.sign(self.back[0]) or -1.0
        return float(-deeper * self.chamfer * tangent), 0.0

    def picture(self) -> npt.NDArray[np.uint8]:
        """Return the drawing as a grey picture."""
        import cv2  # noqa: PLC0415 - as in the code under test

        fine = (np.arange(_FINE) - (_FINE - 1) / 2) / _FINE
        x = (np.arange(self.width)[:, None] + fine).ravel()
        y = (np.arange(self.height)[:, None] + fine).ravel()
        tone = self._tone(self.to_unit(np.stack(np.meshgrid(x, y), axis=-1)))
        shape = (self.height, _FINE, self.width, _FINE)
        fine_tone = _light(tone) if self.in_light else tone
        grey = fine_tone.reshape(shape).mean(axis=(1, 3)).astype(np.float32)
        grey = cv2.GaussianBlur(grey, (0, 0), self.blur_px)
        grey = _coded(grey) if self.in_light else grey
        grain = np.random.default_rng(7).normal(0, self.grain, grey.shape)
        return np.clip(np.rint(grey + grain), 0, 255).astype(np.uint8)

    def _tone(self, unit: Array) -> Array:
        def inside(circle: tuple[float, float, float]) -> npt.NDArray[np.bool_]:
            x, y, radius = circle
            return np.hypot(unit[..., 0] - x, unit[..., 1] - y) < radius

        tone = np.full(unit.shape[:-1], self.face)
        tone[inside((*self.chamfer_top(), 1 + self.chamfer))] = self.ring
        near = inside((0, 0, 1))
        tone[near] = self.wall
        through = near if self.back is None else near & inside(self.back)
        tone[through] = self.behind
        if self.far is not None:
            through &= inside(self.far)
            tone[through] = self.opening
        if self.end is not None:
            x, y, radius = self.end
            within = radius - np.hypot(unit[..., 0] - x, unit[..., 1] - y)
            share = np.clip(0.5 + within / self.end_blur, 0, 1) * through
            tone += share * (self.lit - tone)
        return tone


def _light(grey: Array) -> Array:
    coded = grey / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def _coded(light: Array) -> Array:
    full = np.clip(light, 0, 1)
    return 255 * np.where(full <= 0.0031308, 12.92 * full, 1.055 * full ** (1 / 2.4) - 0.055)


def but(drawn: Drawn, **changes: object) -> Drawn:
    """Return the drawing with some things changed."""
    return replace(drawn, **changes)  # type: ignore[arg-type]
