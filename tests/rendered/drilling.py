"""Two drilled holes, one behind the other, as a ray meets them. Imports nothing of the program.

Frame: the near hole's centre on the bore surface is the origin, z its axis towards the camera, x
along the bore. The bore is the cylinder of radius R about the line y = 0, z = R (concave towards
the camera); the sleeve is ``wall`` thick, and the block begins where it ends. Lengths in mm.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
FACE, NEAR_WALL, FLOOR, FAR_WALL, BOTTOM = range(5)
_MARCH, _HALVINGS = 28, 22


@dataclass(frozen=True)
class Drilling:
    """What was drilled where. ``offset`` is far centre minus near centre, (x, y)."""

    bore_radius: float
    wall: float
    near_radius: float
    far_radius: float
    offset: tuple[float, float]
    chamfer: float
    edge_break: float
    far_depth: float
    chip: tuple[float, float, float] | None = None  # direction, half width (rad), size

    def height(self, y: Array, below: float = 0.0) -> Array:
        """Return z of the bore surface, or of the surface so far below it, over y."""
        radius = self.bore_radius + below
        return self.bore_radius - np.sqrt(np.maximum(radius**2 - y**2, 0.0))

    def chamfer_at(self, x: Array, y: Array) -> Array:
        """Return how wide the near hole's edge is broken in the direction of (x, y)."""
        width = np.full(np.shape(x), self.chamfer)
        if self.chip is not None:
            middle, half, size = self.chip
            away = np.abs((np.arctan2(y, x) - middle + np.pi) % (2 * np.pi) - np.pi)
            width = width + size * np.clip(1 - (away / half) ** 2, 0.0, None)
        return width

    def near_gap(self, p: Array) -> Array:
        """Return how far inside the near hole's metal a point is (negative: in the open)."""
        x, y, z = p
        broken = self.chamfer_at(x, y)
        flare = np.clip(broken + z - self.height(y), 0.0, broken)
        return np.hypot(x, y) - (self.near_radius + flare)

    def far_gap(self, p: Array) -> Array:
        """The same for the far hole, below the sleeve."""
        x, y, z = p
        depth = self.height(y, self.wall) - z
        flare = np.clip(self.edge_break - depth, 0.0, self.edge_break)
        return np.hypot(x - self.offset[0], y - self.offset[1]) - (self.far_radius + flare)

    def open_area(self) -> float:
        """Return the area common to both drilled circles, seen along their axis."""
        a, b, d = self.near_radius, self.far_radius, float(np.hypot(*self.offset))
        if d >= a + b:
            return 0.0
        if d <= abs(a - b):
            return float(np.pi * min(a, b) ** 2)
        # MathWorld, "Circle-Circle Intersection", eq. 14
        one = a * a * np.arccos((d * d + a * a - b * b) / (2 * d * a))
        two = b * b * np.arccos((d * d + b * b - a * a) / (2 * d * b))
        kite = 0.5 * np.sqrt((a + b - d) * (d + a - b) * (d - a + b) * (d + a + b))
        return float(one + two - kite)

    def covered(self) -> float:
        """Return how much of the smaller hole is shut: the answer of the picture."""
        return 1 - self.open_area() / (np.pi * min(self.near_radius, self.far_radius) ** 2)

    def near_edge(self, angles: Array) -> Array:
        """Return the drilled edge of the near hole, below its chamfer, as (3, N)."""
        x, y = self.near_radius * np.cos(angles), self.near_radius * np.sin(angles)
        return np.stack([x, y, self.height(y) - self.chamfer_at(x, y)])

    def far_edge(self, angles: Array) -> Array:
        """Return the drilled edge of the far hole, below its broken edge, as (3, N)."""
        x = self.offset[0] + self.far_radius * np.cos(angles)
        y = self.offset[1] + self.far_radius * np.sin(angles)
        return np.stack([x, y, self.height(y, self.wall) - self.edge_break])

    def sees(self, eye: Array, points: Array) -> npt.NDArray[np.bool_]:
        """Return which points behind the sleeve an eye sees through the near hole."""
        way = points - eye[:, None]
        clear = np.ones(points.shape[1], dtype=bool)
        # Only the end of the way can lie in the sleeve, and steps over all of it would miss a wall.
        deep = self.wall + self.near_radius**2 / self.bore_radius
        reach = np.minimum(3 * deep / np.maximum(-way[2], 1e-9), 1.0)
        for back in np.linspace(0.0, 1.0, 160)[1:]:
            p = points - back * reach * way
            in_sleeve = (p[2] < self.height(p[1])) & (p[2] > self.height(p[1], self.wall))
            clear &= ~(in_sleeve & (self.near_gap(p) > 0))
        return clear


@dataclass(frozen=True)
class Hits:
    """Where rays end: the point, what it is, and how deep below the bore surface."""

    point: Array
    kind: npt.NDArray[np.int64]
    depth: Array


def trace(drilling: Drilling, eye: Array, way: Array) -> Hits:
    """Return where rays from ``eye`` (3,) along ``way`` (3, N) end."""
    first = _onto_cylinder(drilling, eye, way, 0.0)
    p = eye[:, None] + first * way
    kind = np.full(way.shape[1], FACE)
    mouth = np.flatnonzero(drilling.near_gap(p) < 0)
    if mouth.size:
        back = _onto_cylinder(drilling, eye, way[:, mouth], drilling.wall)
        end, met = _march(drilling.near_gap, eye, way[:, mouth], first[mouth], back)
        p[:, mouth] = eye[:, None] + end * way[:, mouth]
        kind[mouth] = np.where(met, NEAR_WALL, FLOOR)
        through = mouth[~met][drilling.far_gap(p[:, mouth[~met]]) < 0]
        _into_far_hole(drilling, eye, way, through, p, kind)
    depth = drilling.height(p[1]) - p[2]
    return Hits(p, kind, depth)


def _into_far_hole(
    drilling: Drilling,
    eye: Array,
    way: Array,
    rays: npt.NDArray[np.int64],
    p: Array,
    kind: npt.NDArray[np.int64],
) -> None:
    if not rays.size:
        return
    down = way[:, rays]
    start = (p[2, rays] - eye[2]) / down[2]
    end = (p[2, rays] - drilling.far_depth - eye[2]) / down[2]
    where, met = _march(drilling.far_gap, eye, down, start, end)
    p[:, rays] = eye[:, None] + where * down
    kind[rays] = np.where(met, FAR_WALL, BOTTOM)


def _onto_cylinder(drilling: Drilling, eye: Array, way: Array, below: float) -> Array:
    """Return how far along the rays the bore surface, or the sleeve's back, is met from inside."""
    y, z = eye[1], eye[2] - drilling.bore_radius
    a = way[1] ** 2 + way[2] ** 2
    b = y * way[1] + z * way[2]
    c = y * y + z * z - (drilling.bore_radius + below) ** 2
    return (-b + np.sqrt(np.maximum(b * b - a * c, 0.0))) / a


def _march(gap, eye: Array, way: Array, start: Array, end: Array):  # type: ignore[no-untyped-def] # two of them
    """Return where rays first meet metal between two distances, and which of them do."""
    low, high = start.copy(), end.copy()
    met = np.zeros(start.shape, dtype=bool)
    for step in range(1, _MARCH + 1):
        here = start + (end - start) * (step / _MARCH) ** 1.5
        inside = gap(eye[:, None] + here * way) > 0
        new = inside & ~met
        high[new] = here[new]
        met |= inside
        low[~met] = here[~met]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        inside = gap(eye[:, None] + middle * way) > 0
        high = np.where(inside & met, middle, high)
        low = np.where(~inside & met, middle, low)
    return np.where(met, high, end), met
