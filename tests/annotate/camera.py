"""A camera made of plain formulas: where things on a flat plane are seen, and pictures of them.

Written apart from the code under test, so that it can be held against it.
"""

from math import cos, radians, sin

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Picture = npt.NDArray[np.uint8]


class Camera:
    """Looks at the plane z = 0 from ``distance_mm``, turned by ``tilt_deg`` about the y axis."""

    def __init__(
        self,
        *,
        width: int = 1600,
        height: int = 1200,
        focal: float = 2000.0,
        distance_mm: float = 160.0,
        tilt_deg: float = 0.0,
        spin_deg: float = 0.0,
        barrel: float = 0.0,
    ) -> None:
        t, s = radians(tilt_deg), radians(spin_deg)
        spin = np.array([[cos(s), -sin(s), 0], [sin(s), cos(s), 0], [0, 0, 1]])
        tilt = np.array([[cos(t), 0, sin(t)], [0, 1, 0], [-sin(t), 0, cos(t)]])
        self.rotation = tilt @ spin
        self.shift = np.array([0.0, 0.0, distance_mm])
        self.width, self.height, self.focal, self.barrel = width, height, focal, barrel
        self.centre = np.array([(width - 1) / 2, (height - 1) / 2])

    def ideal(self, places: Array, z: float = 0.0) -> Array:
        """Return where places (N, 2) of the plane, or ``z`` mm behind it, are seen, undistorted."""
        solid = np.column_stack([places, np.full(len(places), z)])
        seen = solid @ self.rotation.T + self.shift
        return self.focal * seen[:, :2] / seen[:, 2:] + self.centre

    def see(self, places: Array, z: float = 0.0) -> Array:
        """Return the same with the lens's barrel."""
        off = self.ideal(places, z) - self.centre
        reach = np.hypot(self.width, self.height) / 2
        return (
            off * (1 - self.barrel * np.sum(off**2, axis=1, keepdims=True) / reach**2) + self.centre
        )

    def places(self, pixels: Array) -> Array:
        """Return the places on the plane that pixels (N, 2) show (no barrel)."""
        rays = np.column_stack([(pixels - self.centre) / self.focal, np.ones(len(pixels))])
        turned, origin = rays @ self.rotation, self.rotation.T @ self.shift
        return turned[:, :2] / turned[:, 2:] * origin[2] - origin[:2]


def circle(radius: float, at: tuple[float, float], count: int = 90) -> Array:
    turn = np.arange(count) * 2 * np.pi / count
    return np.column_stack([at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn)])


def photograph(
    camera: Camera,
    shade: Array,
    mm_per_cell: float,
    corner: tuple[float, float],
    *,
    blur: float = 0.8,
    exposure: float = 1.0,
    fine: int = 4,
) -> Picture:
    """Return a grey sRGB picture of cells of shades (linear light) lying on the plane.

    ``corner`` is where the first cell's outer corner lies, in mm. Each pixel is the mean of
    fine x fine rays over its area, then blurred by a Gaussian, in linear light.
    """
    steps = (np.arange(fine) + 0.5) / fine - 0.5
    total = np.zeros((camera.height, camera.width))
    rows, columns = np.mgrid[0 : camera.height, 0 : camera.width].astype(np.float64)
    for dy in steps:
        for dx in steps:
            spots = np.column_stack([(columns + dx).ravel(), (rows + dy).ravel()])
            cells = np.floor((camera.places(spots) - corner) / mm_per_cell).astype(int)
            inside = ((cells >= 0) & (cells < shade.shape[::-1])).all(axis=1)
            cells = np.clip(cells, 0, np.array(shade.shape[::-1]) - 1)
            seen = np.where(inside, shade[cells[:, 1], cells[:, 0]], 0.35)
            total += seen.reshape(total.shape)
    light = _blurred(total / fine**2, blur) * exposure
    return coded(light)


def coded(light: Array) -> Picture:
    """Return linear light as sRGB bytes (IEC 61966-2-1), over-exposed parts clipped."""
    clipped = np.clip(light, 0, 1)
    low = 12.92 * clipped
    high = 1.055 * clipped ** (1 / 2.4) - 0.055
    return np.round(255 * np.where(clipped <= 0.0031308, low, high)).astype(np.uint8)


def _blurred(light: Array, sigma: float) -> Array:
    reach = int(4 * sigma) + 1
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    kernel /= kernel.sum()
    for axis in (0, 1):
        padded = np.pad(light, [(reach, reach) if a == axis else (0, 0) for a in (0, 1)], "edge")
        light = np.apply_along_axis(np.convolve, axis, padded, kernel, "valid")
    return light
