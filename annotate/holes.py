"""Where two drilled holes really are, from how their rims look through one camera.

The model (lengths mm). The near hole is a cylinder along z through the origin, drilled into the
wall of a bore: the face is z = R - sqrt(R^2 - y^2), the bore's axis runs along x at z = +R and
the camera is on the side of +z. R is infinite for a flat face (curvature 0). The part behind
touches the wall's outer surface, the concentric cylinder of radius R + wall; the far hole is a
cylinder along z too, its rim lies on that surface, its centre at ``far_x, far_y``. Three rims:

  near   radius r_near, on the face (its drilled edge lies exp(``ln_depth``) lower: the chamfer)
  back   radius r_near, on the outer surface: the near hole's own other end
  far    radius r_far about (far_x, far_y), on the outer surface; what is seen of it is the border
         of its broken edge, ``edge_break`` wider

A pixel is carried back along its sight line to the surface its rim lies on; there the rim is a
circle, and the distance from that circle is what is left over. This is exact for any tilt and any
distance of the camera, and needs no curve projected into the picture. Everything is vectorised
over K parameter sets: a state is a (K, len(NAMES)) array.

Derivation: written out here from the geometry of a ray and a cylinder; no outside source.
"""

from math import hypot
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

NAMES = (
    "centre_u",  # px: picture of the origin, relative to Camera.about
    "centre_v",
    "ln_size",  # ln of the near radius as it would look square-on, px
    "tilt_x",  # hole axis across the line of sight: components of a unit vector (sin theta)
    "tilt_y",
    "bore_turn",  # rad: direction of the bore's axis in the face
    "curvature",  # 1/mm: 1/R
    "ln_depth",  # ln mm: how deep the near rim lies below the face
    "ln_wall",  # ln mm
    "edge_break",  # mm: how far outside the far radius its rim is seen
    "far_x",  # mm, along the picture's x carried into the face
    "far_y",  # mm, along the picture's UP carried into the face
    "ln_far",  # ln mm: far radius
    "ln_near",  # ln mm: near radius
    "ln_focal",  # ln px
    "distortion",  # relative radial shift at the picture's corner; negative is barrel
    "axis_u",  # px: principal point minus the picture's centre
    "axis_v",
)
INDEX = {name: i for i, name in enumerate(NAMES)}


class Camera(NamedTuple):
    """The picture's size, and the point ``centre_u, centre_v`` count from: fixed for a picture."""

    width_px: int
    height_px: int
    about: tuple[float, float]

    @property
    def half_diagonal_px(self) -> float:
        """Return the distance from the picture's centre to its corner, in pixels."""
        return hypot(self.width_px, self.height_px) / 2


class Pose(NamedTuple):
    """K poses of the camera before the hole.

    ``turn`` (K, 3, 3): rows x, y, z of the hole frame in camera axes; ``camera_mm`` (K, 3): the
    camera's place in the hole frame.
    """

    turn: Array
    camera_mm: Array


def column(state: Array, name: str) -> Array:
    """Return one parameter of every set, shape (K,)."""
    return np.asarray(state[:, INDEX[name]])


def pose(state: Array, camera: Camera) -> Pose:
    """Return where the camera stands, in axes fixed to the picture (x right, y up in the face).

    The bore's turn is NOT applied: see ``meet``.
    """
    u, v = _straight(
        state,
        camera,
        camera.about[0] + state[:, INDEX["centre_u"], None],
        camera.about[1] + state[:, INDEX["centre_v"], None],
    )
    focal_px = np.exp(column(state, "ln_focal"))
    u, v = u[:, 0] / focal_px, v[:, 0] / focal_px
    flat = 1 + v * v
    stretch, level = np.sqrt(u * u + flat), np.sqrt(flat)
    # Axes of the sight line in those of the camera: forward (u, v, 1), right with no part along
    # the picture's y but for the view's own slant, down across both.
    forward, right, down = _rows(u, v, 1), _rows(flat, -u * v, -u), _rows(0, 1, -v)
    forward /= stretch
    right /= stretch * level
    down /= level
    a, b = column(state, "tilt_x"), column(state, "tilt_y")
    towards = np.sqrt(np.maximum(1 - a * a - b * b, 1e-12))
    z = a * right + b * down - towards * forward
    # x is what of right lies across z; y across both has no part along right.
    across = np.sqrt(np.maximum(1 - a * a, 1e-12))
    x = (right - a * z) / across
    y = (towards * down + b * forward) / -across
    # A circle of radius r at distance D looks f r / D pixels large, f counted along the sight line.
    size = np.exp(column(state, "ln_size"))
    distance = np.exp(column(state, "ln_near")) * focal_px * stretch / size
    camera_mm = _rows(-a * towards / across, b / across, towards) * distance
    return Pose(np.stack([x, y, z]).transpose(2, 0, 1), camera_mm.T)


def _rows(x: Array | float, y: Array | float, z: Array | float) -> Array:
    """Return three rows (3, K), some of them one number: several times faster than stacking."""
    count = max(np.size(x), np.size(y), np.size(z))
    rows = np.empty((3, count))
    rows[0], rows[1], rows[2] = x, y, z
    return rows


def carry_back(
    state: Array,
    where: Pose,
    camera: Camera,
    points_px: Array,
    depth_mm: Array,
    counts: tuple[int, ...] = (),
) -> tuple[Array, Array]:
    """Return x, y (K, N) in mm where the sight lines of (N, 2) pixels meet a surface.

    In the picture's axes; the rest as of ``meet``.
    """
    along, across = meet(state, where, camera, points_px, depth_mm, counts)
    cos, sin = _bore(state)
    with np.errstate(invalid="ignore"):  # where a sight line misses it
        return cos * along - sin * across, sin * along + cos * across


def meet(
    state: Array,
    where: Pose,
    camera: Camera,
    points_px: Array,
    depth_mm: Array,
    counts: tuple[int, ...] = (),
) -> tuple[Array, Array]:
    """Return the same along the bore's axis and across it (K, N).

    The surface is the bore's wall ``depth_mm`` (K,) below the face; of several surfaces they are
    (K, D), and ``counts`` tells how many of the pixels, in their order, are of each. Not finite
    where a sight line misses it.
    """
    cos, sin = (part[:, 0] for part in _bore(state))
    turn_x, turn_y, turn_z = (where.turn[:, i].T for i in range(3))
    camera_x, camera_y, camera_z = where.camera_mm.T
    # Only y across the bore's axis is curved.
    turn_x, turn_y = cos * turn_x + sin * turn_y, cos * turn_y - sin * turn_x
    camera_x, camera_y = cos * camera_x + sin * camera_y, cos * camera_y - sin * camera_x
    gx, gy, gz = _along_sights(state, camera, points_px, (turn_x, turn_y, turn_z))
    px, py, pz = (place[:, None] for place in (camera_x, camera_y, camera_z))
    curve = column(state, "curvature")[:, None]
    depth = depth_mm.reshape(len(state), -1)
    # curve (y^2 + z^2) - 2 z - 2 depth - curve depth^2 = a s^2 + 2 b s - c = 0 along p + s g
    b = (curve * py) * gy
    b += (curve * pz - 1) * gz
    a = gy * gy
    a += np.multiply(gz, gz, out=gz)
    a *= curve
    c = 2 * pz + 2 * depth + curve * depth**2 - curve * (py**2 + pz**2)
    if counts:
        c = np.repeat(c, counts, axis=1)
    away = b < 0
    with np.errstate(divide="ignore", invalid="ignore"):
        root = b * b
        root += np.multiply(a, c, out=gz)
        np.sqrt(root, out=root)
        # Of the two meetings the one further from the camera: it looks right across the bore. The
        # same root in two forms, so that nothing cancels, flat faces (a = 0) included.
        s = np.add(b, root, out=gz)
        np.divide(c, s, out=s)
        if np.any(away):
            s = np.where(away, (root - b) / a, s)
    gx *= s
    gx += px
    gy *= s
    gy += py
    return gx, gy


def _bore(state: Array) -> tuple[Array, Array]:
    """Return cosine and sine (K, 1) of the bore's turn."""
    turn = column(state, "bore_turn")[:, None]
    return np.cos(turn), np.sin(turn)


def _along_sights(
    state: Array, camera: Camera, points_px: Array, axes: tuple[Array, ...]
) -> list[Array]:
    """Return the parts (K, N) along each of some axes (3, K) of the sight lines of pixels (N, 2).

    Off the lens's axis a line goes as far as ``_straight`` says. What is linear in the pixels, or
    in their squares, is one thin matrix product each.
    """
    axis_u, axis_v = (part[:, 0] for part in _axis_px(state, camera))
    ahead = np.exp(column(state, "ln_focal"))
    bend = column(state, "distortion") / camera.half_diagonal_px**2
    u, v = points_px.T
    linear = np.stack([u, v, np.ones_like(u)])
    about = axis_u * axis_u + axis_v * axis_v
    grown = np.stack([bend, -2 * bend * axis_u, -2 * bend * axis_v, 1 + bend * about], axis=1)
    shrink = _shrunk(grown @ np.concatenate([(u * u + v * v)[None], linear]))
    found = []
    for x, y, z in axes:
        part = np.stack([x, y, -(x * axis_u + y * axis_v)], axis=1) @ linear
        part *= shrink
        part += (z * ahead)[:, None]
        found.append(part)
    return found


def depths(state: Array) -> tuple[Array, Array]:
    """Return how deep the near rim and the far and back rims lie below the face, in mm."""
    return np.exp(column(state, "ln_depth")), np.exp(column(state, "ln_wall"))


def near_misfit_mm(state: Array, where: Pose, camera: Camera, points_px: Array) -> Array:
    """Return how far outside the near rim each pixel lies, (K, N) in mm on the face."""
    return off_near_mm(state, *meet(state, where, camera, points_px, depths(state)[0]))


def back_misfit_mm(state: Array, where: Pose, camera: Camera, points_px: Array) -> Array:
    """Return how far outside the back rim each pixel lies, (K, N) in mm on the outer surface."""
    return off_near_mm(state, *meet(state, where, camera, points_px, depths(state)[1]))


def far_misfit_mm(state: Array, where: Pose, camera: Camera, points_px: Array) -> Array:
    """Return how far outside the far rim each pixel lies, (K, N) in mm on the outer surface."""
    return off_far_mm(state, *meet(state, where, camera, points_px, depths(state)[1]))


def off_near_mm(state: Array, x: Array, y: Array) -> Array:
    """Return how far outside the near hole places on either surface lie, in mm.

    x, y (K, N) are along the bore's axis and across it, or in any axes turned from those.
    """
    off = x * x
    off += y * y
    np.sqrt(off, out=off)
    off -= np.exp(column(state, "ln_near"))[:, None]
    return off


def off_far_mm(state: Array, x: Array, y: Array) -> Array:
    """Return how far outside the far rim places on the outer surface lie, in mm.

    x, y (K, N) are along the bore's axis and across it.
    """
    cos, sin = _bore(state)
    far_x, far_y = column(state, "far_x")[:, None], column(state, "far_y")[:, None]
    off, y = x - (cos * far_x + sin * far_y), y - (cos * far_y - sin * far_x)
    off *= off
    off += np.multiply(y, y, out=y)
    np.sqrt(off, out=off)
    off -= (np.exp(column(state, "ln_far")) + column(state, "edge_break"))[:, None]
    return off


def parallax_mm(state: Array, where: Pose) -> tuple[Array, Array]:
    """Return apparent minus true far centre (K,), mm to the right and mm UP in the picture.

    Apparent: where the sight line through the far centre crosses the plane of the face.
    """
    wall = np.exp(column(state, "ln_wall"))
    share = wall / (where.camera_mm[:, 2] + wall)
    across_x = where.camera_mm[:, 0] - column(state, "far_x")
    across_y = where.camera_mm[:, 1] - column(state, "far_y")
    return across_x * share, across_y * share


def sight_angle_deg(state: Array) -> Array:
    """Return the angle between the line of sight at the hole and the hole's axis, in degrees."""
    across = np.hypot(column(state, "tilt_x"), column(state, "tilt_y"))
    return np.asarray(np.degrees(np.arcsin(np.minimum(across, 1.0))))


def project_px(state: Array, where: Pose, camera: Camera, x: Array, y: Array, z: Array) -> Array:
    """Return the pixels (K, N, 2) of points (K, N) given in the hole frame's picture axes, mm."""
    points = np.stack(np.broadcast_arrays(x, y, z), axis=-1) - where.camera_mm[:, None, :]
    seen = np.einsum("kij,kni->knj", where.turn, points)
    flat = seen[..., :2] / seen[..., 2:]
    focal_px = np.exp(column(state, "ln_focal"))[:, None, None]
    bent = flat * focal_px
    radius_sq = np.sum(bent**2, axis=-1, keepdims=True) / camera.half_diagonal_px**2
    bent = bent * (1 + column(state, "distortion")[:, None, None] * radius_sq)
    return np.asarray(bent + np.stack(_axis_px(state, camera), axis=-1))


def rim_px(state: Array, camera: Camera, which: str, steps: int = 90) -> Array:
    """Return a closed outline (K, steps, 2) in pixels of the near, back or far rim."""
    angle = np.linspace(0, 2 * np.pi, steps, endpoint=False)[None, :]
    where = pose(state, camera)
    near, outer = depths(state)
    radius = np.exp(column(state, "ln_far" if which == "far" else "ln_near"))[:, None]
    if which == "far":
        radius = radius + column(state, "edge_break")[:, None]
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    if which == "far":
        x, y = x + column(state, "far_x")[:, None], y + column(state, "far_y")[:, None]
    turn = column(state, "bore_turn")[:, None]
    y_bore = -np.sin(turn) * x + np.cos(turn) * y
    depth = (near if which == "near" else outer)[:, None]
    curve = column(state, "curvature")[:, None]
    # R - sqrt((R + depth)^2 - y^2), written so that R may be infinite (curvature 0).
    grown = 1 + curve * depth
    inside = np.maximum(grown**2 - (curve * y_bore) ** 2, 1e-12)
    z = (curve * y_bore**2 - depth * (1 + grown)) / (1 + np.sqrt(inside))
    return project_px(state, where, camera, x, y, z)


def _straight(state: Array, camera: Camera, u: Array, v: Array) -> tuple[Array, Array]:
    """Return where pixels u, v, broadcast to (K, N), would lie off the axis without distortion."""
    axis_u, axis_v = _axis_px(state, camera)
    bent_u, bent_v = u - axis_u, v - axis_v
    bend = column(state, "distortion")[:, None] / camera.half_diagonal_px**2
    shrink = _shrunk(1 + bend * (bent_u * bent_u + bent_v * bent_v))
    return bent_u * shrink, bent_v * shrink


def _shrunk(grown: Array) -> Array:
    """Return how much nearer to the axis a pixel would lie, ``grown`` being 1 + k r^2; uses it up.

    The inverse of r (1 + k r^2), by one step of Newton's for s (1 + k r^2 s^2) = 1 from
    1 / (1 + k r^2): it leaves, of k = 3 % in 1600 x 1200 px, 2e-7 px halfway to the corner and
    5e-4 px in it, and stays bounded whatever k is.
    """
    # With y for grown the step comes to (y^3 + 2 y - 2) / (y^3 + 3 y^2 - 3 y).
    above = grown * grown
    above += 2
    above *= grown
    above -= 2
    below = grown + 3
    below *= grown
    below -= 3
    below *= grown
    return np.divide(above, below, out=above)


def _axis_px(state: Array, camera: Camera) -> tuple[Array, Array]:
    """Return u and v (K, 1) of the lens's axis."""
    u, v = column(state, "axis_u")[:, None], column(state, "axis_v")[:, None]
    return (camera.width_px - 1) / 2 + u, (camera.height_px - 1) / 2 + v
