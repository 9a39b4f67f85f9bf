"""A flat plate with drilled and chamfered holes and a printed target on it, as a ray meets them.

Imports nothing of the program. Frame: z = 0 is the face, z up towards the camera; lengths in mm.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
FACE, PAPER, INK, CHAMFER, WALL, BOTTOM, THROUGH = range(7)
_HALVINGS = 26


@dataclass(frozen=True)
class DrilledHole:
    """A hole from the face down; ``chamfer`` is its width from above, ``slope`` width by depth."""

    x: float
    y: float
    radius: float
    chamfer: float
    slope: float
    depth: float
    through: bool

    @property
    def outer(self) -> float:
        """Return the radius of the edge in the face."""
        return self.radius + self.chamfer

    @property
    def edge_depth(self) -> float:
        """Return how deep below the face the drilled edge lies."""
        return self.chamfer / self.slope

    def width_at(self, depth: Array) -> Array:
        """Return the hole's radius at depths below the face."""
        return self.radius + np.maximum(self.chamfer - self.slope * depth, 0.0)

    def edge(self, angles: Array, *, drilled: bool) -> Array:
        """Return the drilled edge, or the edge in the face, as (3, N)."""
        radius, z = (self.radius, -self.edge_depth) if drilled else (self.outer, 0.0)
        x, y = self.x + radius * np.cos(angles), self.y + radius * np.sin(angles)
        return np.stack([x, y, np.full(len(angles), z)])


@dataclass(frozen=True)
class Print:
    """A printed target: ``black`` (rows, columns) of square modules, white paper round it.

    ``corner`` is where the pattern's top left corner lies on the face, ``turn`` how far its rows
    are turned (rad); ``height`` that of the print above the face.
    """

    black: npt.NDArray[np.bool_]
    module: float
    margin: float
    corner: tuple[float, float]
    turn: float
    height: float

    def across(self, p: Array) -> Array:
        """Return places (2, N) of the face in the pattern's own axes, right and down, in mm."""
        x, y = p[0] - self.corner[0], p[1] - self.corner[1]
        c, s = np.cos(self.turn), np.sin(self.turn)
        return np.stack([c * x + s * y, s * x - c * y])

    def on_face(self, right: Array, down: Array) -> Array:
        """Return points (3, N) of the print from places in its own axes."""
        c, s = np.cos(self.turn), np.sin(self.turn)
        x, y = c * right + s * down + self.corner[0], s * right - c * down + self.corner[1]
        return np.stack([x, y, np.full(np.shape(x), self.height)])

    @property
    def size(self) -> Array:
        """Return the pattern's width and height in mm, its white margin left out."""
        return np.array(self.black.shape[::-1]) * self.module

    def holds(self, p: Array) -> npt.NDArray[np.bool_]:
        """Return which places (2, N) of the face lie under the paper."""
        at = self.across(p)
        inside = (at > -self.margin) & (at < self.size[:, None] + self.margin)
        return np.asarray(inside.all(axis=0))

    def inked(self, p: Array) -> npt.NDArray[np.bool_]:
        """Return which places are black."""
        right, down = np.floor(self.across(p) / self.module).astype(int)
        rows, columns = self.black.shape
        inside = (right >= 0) & (right < columns) & (down >= 0) & (down < rows)
        there = self.black[np.clip(down, 0, rows - 1), np.clip(right, 0, columns - 1)]
        return np.asarray(inside & there)


@dataclass(frozen=True)
class Plate:
    """The holes and the print on one face."""

    holes: tuple[DrilledHole, ...]
    target: Print


@dataclass(frozen=True)
class Hits:
    """Where rays end: the point, what it is, and which hole it is in (-1: none)."""

    point: Array
    kind: npt.NDArray[np.int64]
    hole: npt.NDArray[np.int64]


def trace(plate: Plate, eye: Array, way: Array) -> Hits:
    """Return where rays from ``eye`` (3,) along ``way`` (3, N) end; all of them look down."""
    p = _at_height(eye, way, 0.0)
    kind = np.full(way.shape[1], FACE)
    hole = np.full(way.shape[1], -1)
    for number, one in enumerate(plate.holes):
        mouth = np.flatnonzero(np.hypot(p[0] - one.x, p[1] - one.y) < one.outer)
        if mouth.size:
            hole[mouth] = number
            p[:, mouth], kind[mouth] = _inside(one, eye, way[:, mouth])
    top = _at_height(eye, way, plate.target.height)
    paper = plate.target.holds(top[:2])
    p[:, paper], hole[paper] = top[:, paper], -1
    kind[paper] = np.where(plate.target.inked(top[:2, paper]), INK, PAPER)
    return Hits(p, kind, hole)


def _at_height(eye: Array, way: Array, z: float) -> Array:
    return np.asarray(eye[:, None] + (z - eye[2]) / way[2] * way)


def _inside(one: DrilledHole, eye: Array, way: Array) -> tuple[Array, npt.NDArray[np.int64]]:
    """Return where rays that enter a hole end, and on what."""

    def gap(depth: Array) -> Array:
        share = (-depth - eye[2]) / way[2]
        x, y = eye[0] + share * way[0] - one.x, eye[1] + share * way[1] - one.y
        return np.asarray(np.hypot(x, y) - one.width_at(depth))

    # Along a ray the distance from the axis is convex and the hole no wider below: one crossing.
    low, high = np.zeros(way.shape[1]), np.full(way.shape[1], one.depth)
    met = gap(high) > 0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        inside = gap(middle) > 0
        high = np.where(inside & met, middle, high)
        low = np.where(~inside & met, middle, low)
    share = (-high - eye[2]) / way[2]
    kind = np.where(high < one.edge_depth, CHAMFER, WALL)
    kind = np.where(met, kind, THROUGH if one.through else BOTTOM)
    return eye[:, None] + share * way, kind
