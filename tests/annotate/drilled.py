"""Rims of two drilled holes as a real camera would show them; imports nothing from annotate.

Projection by cv2.projectPoints (an independent implementation of the pinhole with radial
distortion), geometry written again from a drawing: hole axis z towards the camera, bore axis
along x at z = +R.
"""

from dataclasses import dataclass
from math import atan2, hypot

import cv2
import numpy as np


@dataclass(frozen=True)
class Drilled:
    r_near: float = 4.0
    r_far: float = 4.0
    offset: tuple[float, float] = (2.0, 0.0)  # in the hole frame, mm
    wall: float = 2.0
    bore_radius: float | None = 25.0  # None: flat
    tilt_deg: float = 12.0
    tilt_towards_deg: float = 40.0
    spin_deg: float = 0.0
    distance: float = 140.0
    focal_px: float = 4000.0
    k1: float = 0.0
    size: tuple[int, int] = (1600, 1200)
    aim_px: tuple[float, float] = (40.0, -60.0)  # hole's picture off the middle
    axis_px: tuple[float, float] = (0.0, 0.0)  # principal point off the middle

    def covered(self) -> float:
        """Return the truth by brute force: no formula shared with the code under test."""
        small = min(self.r_near, self.r_far)
        step = 2 * self.r_near / 1500
        line = np.arange(-self.r_near, self.r_near, step) + step / 2
        x, y = np.meshgrid(line, line)
        both = (np.hypot(x, y) < self.r_near) & (
            np.hypot(x - self.offset[0], y - self.offset[1]) < self.r_far
        )
        return 1 - float(both.sum()) * step**2 / (np.pi * small**2)

    def _height(self, y: np.ndarray, depth: float) -> np.ndarray:
        if self.bore_radius is None:
            return np.full_like(y, -depth)
        return self.bore_radius - np.sqrt((self.bore_radius + depth) ** 2 - y**2)

    def _camera(self) -> tuple[np.ndarray, np.ndarray]:
        tilt, towards = np.radians(self.tilt_deg), np.radians(self.tilt_towards_deg)
        place = self.distance * np.array(
            [np.sin(tilt) * np.cos(towards), np.sin(tilt) * np.sin(towards), np.cos(tilt)]
        )
        forward = -place / np.linalg.norm(place)
        spin = np.radians(self.spin_deg)
        hint = np.array([np.cos(spin), np.sin(spin), 0.0])
        right = hint - hint @ forward * forward
        right /= np.linalg.norm(right)
        turn = np.stack([right, np.cross(forward, right), forward])
        aim = np.array([self.aim_px[0], self.aim_px[1], self.focal_px])
        aim /= np.linalg.norm(aim)
        # Turn the camera so that the hole appears at aim_px instead of the middle.
        axis = np.cross([0.0, 0.0, 1.0], aim)
        angle = atan2(float(np.linalg.norm(axis)), float(aim[2]))
        axis = axis / max(float(np.linalg.norm(axis)), 1e-12) * angle
        turn = cv2.Rodrigues(axis)[0] @ turn
        return turn, -turn @ place

    def project(self, points: np.ndarray) -> np.ndarray:
        turn, shift = self._camera()
        width, height = self.size
        matrix = np.array(
            [
                [self.focal_px, 0, (width - 1) / 2 + self.axis_px[0]],
                [0, self.focal_px, (height - 1) / 2 + self.axis_px[1]],
                [0, 0, 1],
            ]
        )
        lens = np.array([self.k1, 0, 0, 0.0])
        seen = cv2.projectPoints(points, cv2.Rodrigues(turn)[0], shift, matrix, lens)[0]
        return seen.reshape(-1, 2)

    def rim(self, which: str, angles: np.ndarray) -> np.ndarray:
        radius = self.r_far if which == "far" else self.r_near
        x, y = radius * np.cos(angles), radius * np.sin(angles)
        if which == "far":
            x, y = x + self.offset[0], y + self.offset[1]
        z = self._height(y, 0.0 if which == "near" else self.wall)
        return self.project(np.stack([x, y, z], axis=1))

    def seen_angles(self, steps: int = 720) -> np.ndarray:
        """Return the angles of the far rim whose sight lines pass the near hole and its back edge.

        The sight line is followed through the wall in steps; it must stay inside the cylinder.
        """
        angles = np.linspace(0, 2 * np.pi, steps, endpoint=False)
        x = self.r_far * np.cos(angles) + self.offset[0]
        y = self.r_far * np.sin(angles) + self.offset[1]
        z = self._height(y, self.wall)
        turn, shift = self._camera()
        eye = -turn.T @ shift
        clear = np.ones(steps, bool)
        for part in np.linspace(0, 1, 41):
            height = z + part * (self.wall + 1e-9)
            along = (height - z) / (eye[2] - z)
            px, py = x + along * (eye[0] - x), y + along * (eye[1] - y)
            clear &= np.hypot(px, py) <= self.r_near
        return angles[clear]

    def longest_arc(self, count: int) -> np.ndarray:
        """Return ``count`` angles spread over the longest visible arc, empty if none is seen."""
        seen = np.sort(self.seen_angles())
        if len(seen) < count:
            return np.empty(0)
        step = 2 * np.pi / 720
        breaks = np.flatnonzero(np.diff(seen, append=seen[0] + 2 * np.pi) > 1.5 * step)
        if len(breaks) == 0:
            return np.linspace(0, 2 * np.pi, count, endpoint=False)
        rolled = np.unwrap(np.roll(seen, -(breaks[0] + 1)))
        runs = np.split(rolled, np.flatnonzero(np.diff(rolled) > 1.5 * step) + 1)
        longest = max(runs, key=len)
        return np.linspace(longest[0], longest[-1], count + 2)[1:-1]

    def apart(self) -> float:
        return hypot(*self.offset)
