"""One camera before one flat face: a target and round edges, all that is seen adjusted at once.

Unknown are the camera (focal length, optical axis, barrel), how the face lies before it, how thick
the print is, what light from a side makes of all rims alike, by how much the print's white has
grown, and of each hole centre, radius and how deep its chamfer goes. A target's corners, or all its
printed edges, lie on the print; an edge of a hole is a circle parallel to it, as deep as it lies:
the two edges of a chamfer about one axis. That a plane is seen by a camera whose focal length is
roughly known says what a small target cannot: a homography alone lets the far side of the face grow
or shrink.

Derivation: written out here; no outside source.
"""

from collections.abc import Sequence
from math import sqrt

import numpy as np
import numpy.typing as npt
from msgspec import Struct, structs

from annotate.flat_face.face_descent import descended
from annotate.flat_face.face_eye import Eye, Guess, Hole, Ring
from annotate.flat_face.face_pose import Pose, laid, lens_of, turned, vector
from annotate.optics.lens import View
from annotate.scale import Scale, Seen

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

PAPER_MM, PAPER_U_MM = 0.1, 0.05  # print above the face: office paper, lying flat
# Of a lens that bends inwards, at the corner: more than 3 % is rare (common practice, no source).
# Wider than is taken where nothing tells of the lens: a face with its holes does, and on pictures
# rendered by ourselves a prior of 1.2 % drew barrels in by four standard errors.
BARREL_U = 0.03
# Of one that bends outwards: a zoom at its long end, or a barrel corrected by a
# little too much, does so by half a per cent. Common practice, no source.
PINCUSHION_SIGMA = 0.005
CHAMFER_DEPTH_U = 0.35  # of ln(depth / width): countersinks of 60 to 120 degrees
_INDEPENDENT = 12  # errors along a rim go together; so many points at most count as separate
_VAGUE = 0.2  # relative uncertainty of a focal length from which on several are tried
_AWAY = (-1.3, -0.4, 0.5, 1.4)  # of its standard deviation
# What light from a side makes of every break alike: the rim lies nearer its outer border where the
# break is dark, nearer its inner one where it is as light as the face. What of that makes a rim
# longer one way than the other passes for a tilt; the larger the hole, the less. In px, as seen on
# pictures rendered by ourselves; no other source.
LIT_PX = 0.07
# By how much white has grown over black along a printed edge, in px: blur, exposure, tone curve.
GROWN_PX = 0.3
# Parameters before the holes: barrel, focal length, axis (2), pose (6), print, light (2), growth.
CAMERA = 14


class Fit(Struct, frozen=True, eq=False):
    """The unknowns of a face, in standard deviations or px, and what is left over of them."""

    scale: Scale
    seen: Seen
    rings: tuple[Ring, ...]
    guesses: tuple[Guess, ...]
    focal_px: float
    focal_u: float
    axis_u_px: float
    start: tuple[Array, Array, Array]  # axes x and y of the print, and its origin in mm
    slopes: tuple[Array, ...] = ()  # px a millimetre across each ring at its points
    angles: tuple[Array, ...] = ()  # of its outward normal there, in the picture

    @classmethod
    def of(cls, scale: Scale, rings: Sequence[Ring], guesses: Sequence[Guess]) -> "Fit":
        """Return the fit of rings on the plane of a scale that a printed target shows."""
        view = scale.view
        if scale.seen is None:
            raise ValueError("a face is fitted to a printed target")
        focal, focal_u, axis_u = lens_of(view)
        fit = cls(
            scale, scale.seen, tuple(rings), tuple(guesses), focal, focal_u, axis_u,
            laid(scale, focal),
        )  # fmt: skip
        return fit._weighed()

    @property
    def view(self) -> View:
        """Return how the picture was taken."""
        return self.scale.view

    def best(self, start: Array | None = None) -> Array:
        """Return the best parameters (P,), by way of ``start`` where that is given.

        With a focal length that is hardly known several are tried to begin with: a plane lies
        otherwise before each.
        """
        firsts = self._firsts() if start is None else [start]
        ends = (descended(self.residuals, self._slopes, first) for first in firsts)
        return min(ends, key=lambda one: one[1])[0]

    def covariance(self, p: Array) -> Array:
        """Return the covariance (P, P) of the best parameters.

        The barrel's prior is taken for as wide as its wider side.
        """
        p = np.concatenate([np.abs(p[:1]), p[1:]])
        slope = self._slopes(p, self.residuals(p))
        return np.linalg.inv(slope.T @ slope).astype(np.float64)

    def off_px(self, p: Array) -> list[Array]:
        """Return how far (px) outside its ring each point lies, ring by ring."""
        eye = self._eye(p)
        return [
            eye.off_mm(ring, ring.points_px) * slope - _lit_px(angles, p)
            for ring, slope, angles in zip(self.rings, self.slopes, self.angles, strict=True)
        ]

    def off_print_px(self, p: Array) -> Array:
        """Return how far off its place each point of the target is seen, (N, 2) in px.

        A place on a printed edge is off across it only.
        """
        off = self._off_print(self._eye(p), p)
        return off if self.seen.across is None else off[:, None] * self.seen.across

    def _off_print(self, eye: Eye, p: Array) -> Array:
        off = eye.straight(self.seen.points_px) - eye.print_px(self.seen.places_mm)
        if self.seen.across is None:
            return off
        return np.asarray(np.sum(off * self.seen.across, axis=1) + GROWN_PX * p[13])

    def with_rings(self, rings: Sequence[Ring], kept: Sequence[Mask]) -> "Fit":
        """Return the fit with other rings that keep these points of its own."""
        slopes, angles = (
            tuple(one[keep] for one, keep in zip(each, kept, strict=True))
            for each in (self.slopes, self.angles)
        )
        return structs.replace(self, rings=tuple(rings), slopes=slopes, angles=angles)

    def _firsts(self) -> list[Array]:
        """Return parameters to begin with: the plane as the target alone shows it."""
        found = []
        for away in (0.0,) if self.focal_u < _VAGUE else _AWAY:
            p = np.zeros(CAMERA + 5 * len(self.guesses))
            p[0], p[1] = self.view.barrel_median / self._barrel_u(), away
            focal = self.focal_px * float(np.exp(self.focal_u * away))
            x, y, origin = laid(self.scale, focal)
            first = np.stack([*self.start[:2], np.cross(*self.start[:2])])
            p[4:7] = 1e3 * vector(np.stack([x, y, np.cross(x, y)]).T @ first)
            p[7:10] = (origin - self.start[2]) / self._unit_mm()
            found.append(p)
        return found

    def residuals(self, p: Array, known: tuple[Array, int | None] | None = None) -> Array:
        """Return what is left over (M,), each in its standard deviation.

        ``known`` are those of a neighbour that differs in one hole's unknowns only, and its number.
        """
        own = p[CAMERA:].reshape(-1, 5)
        plain = [not self._chamfered(k) for k in range(len(own))]
        # A plain edge has no chamfer to be fitted: it keeps its place.
        parts = [self._bent(p[:1]), p[1:4], p[10:14], own[:, 4], own[plain, 3]]
        eye = self._eye(p)
        old, hole = known if known is not None else (np.empty(0), None)
        at = sum(map(len, parts))
        corners = self.seen.points_px.size if self.seen.across is None else len(self.seen.across)
        if hole is None:
            parts.append(self._off_print(eye, p).ravel() / self.seen.sigma_px)
        else:
            parts.append(old[at : at + corners])
        at += corners
        for ring, slope, angles in zip(self.rings, self.slopes, self.angles, strict=True):
            count = len(ring.points_px)
            if hole is None or ring.hole == hole:
                share = sqrt(min(1.0, _INDEPENDENT / count))
                off = eye.off_mm(ring, ring.points_px) * slope - _lit_px(angles, p)
                parts.append(off / ring.sigma_px * share)
            else:
                parts.append(old[at : at + count])
            at += count
        return np.concatenate(parts)

    def _bent(self, barrel: Array) -> Array:
        """Return a barrel in its own standard deviation: a pincushion is rarer, and less."""
        if self.view.profile is not None:
            return barrel
        return np.where(barrel < 0, barrel * BARREL_U / PINCUSHION_SIGMA, barrel)

    def circles(self, p: Array) -> Array:
        """Return centre, radius and depth of the drilled edge below the face (..., E, 4) in mm."""
        holes = self._holes(p)
        return np.concatenate([holes[..., :3], holes[..., 3:4] * np.exp(
            CHAMFER_DEPTH_U * holes[..., 4:])], axis=-1)  # fmt: skip

    def barrel(self, p: Array) -> Array:
        """Return the barrel (...) of parameters (..., P)."""
        return np.asarray(p[..., 0] * self._barrel_u())

    def paper_mm(self, p: Array) -> Array:
        """Return the height (...) of the print above the face."""
        return np.asarray(PAPER_MM + PAPER_U_MM * p[..., 10])

    def pose(self, p: Array) -> Pose:
        """Return the poses of parameters (K, P)."""
        x, y, origin = self.start
        away = np.cross(x, y)
        away = away if away @ origin > 0 else -away
        turn = turned(1e-3 * p[:, 4:7])
        move = p[:, 7:10] * self._unit_mm()
        x, y, away = (np.einsum("kij,j->ki", turn, axis) for axis in (x, y, away))
        return Pose(x, y, away, origin + move)

    def _barrel_u(self) -> float:
        """Return the barrel's standard uncertainty before the face is seen: its unit here."""
        return BARREL_U if self.view.profile is None else self.view.barrel_sigma

    def _unit_mm(self) -> float:
        """Return what a pixel is worth at the target: the unit of the pose's origin."""
        return float(self.start[2][2]) / self.focal_px

    def _holes(self, p: Array) -> Array:
        """Return x, y, radius, chamfer in mm and ln(depth / width) in its prior's (..., E, 5)."""
        beyond = p[..., CAMERA:].reshape(*p.shape[:-1], -1, 5)
        size = np.array([[g.mm_per_px] * 4 + [1.0] for g in self.guesses])
        first = np.array([[g.x, g.y, g.radius, g.chamfer, 0.0] for g in self.guesses])
        return np.asarray(first.reshape(-1, 5) + beyond * size.reshape(-1, 5))

    def _eye(self, p: Array) -> Eye:
        """Return the camera and the plane before it, and the holes, of parameters (P,)."""
        focal = self.focal_px * float(np.exp(self.focal_u * p[1]))
        axis = self.view.centre() + self.axis_u_px * p[2:4]
        x, y, away, origin = (one[0] for one in self.pose(p[None]))
        widths = self._holes(p)[:, 3]
        holes = tuple(
            Hole(x, y, radius, depth, chamfer if self._chamfered(k) else 0.0)
            for k, ((x, y, radius, depth), chamfer) in enumerate(
                zip(self.circles(p).tolist(), widths.tolist(), strict=True)
            )
        )
        pose = Pose(x, y, away, origin)
        barrel, paper = float(self.barrel(p)), float(self.paper_mm(p))
        return Eye(self.view, focal, axis, barrel, pose, paper, holes)

    def _chamfered(self, hole: int) -> bool:
        return any(ring.deep and ring.hole == hole for ring in self.rings)

    def _weighed(self) -> "Fit":
        """Return the fit with the px a millimetre across each ring, and which way, at first."""
        eye, found, angles = self._eye(self._firsts()[0]), [], []
        for ring in self.rings:
            here, right, down = (
                eye.off_mm(ring, ring.points_px + np.array(step))
                for step in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
            )
            found.append(1 / np.hypot(right - here, down - here))
            angles.append(np.arctan2(down - here, right - here))
        return structs.replace(self, slopes=tuple(found), angles=tuple(angles))

    def _slopes(self, p: Array, value: Array) -> Array:
        steps = 1e-5 * np.eye(len(p))
        slope = np.zeros((len(value), len(p)))
        for k, step in enumerate(steps):
            # A hole's own unknowns move its own rings only.
            hole = None if k < CAMERA else (k - CAMERA) // 5
            slope[:, k] = (self.residuals(p + step, (value, hole)) - value) / 1e-5
        return slope


def _lit_px(angles: Array, p: Array) -> Array:
    """Return how far out light from a side moves a rim's points, by their normals' angles."""
    return np.asarray(LIT_PX * (p[11] * np.cos(2 * angles) + p[12] * np.sin(2 * angles)))
