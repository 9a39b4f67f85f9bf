"""How far beside its true place a camera really sees the far hole: the known parallax.

Not the program's derivation: points and planes only, in the scene's own frame.
"""

from typing import Any

import numpy as np

from tests.rendered.scenes import scene

Array = np.typing.NDArray[np.float64]


def true_parallax_mm(told: dict[str, Any]) -> tuple[float, float] | None:
    """Return apparent minus true far centre, (right, down) in the picture; None if not known.

    Apparent: where the line from the camera to the far centre meets the plane of the face.
    """
    truth = told["truth"]
    if "camera" in told:
        turn = np.asarray(told["camera"]["R"], dtype=float).reshape(3, 3)
        eye = np.asarray(told["camera"]["centre_mm"], dtype=float)
        beside = (truth["offset_axial_mm"], truth["offset_circumferential_mm"])
    elif told["name"].startswith("r_hole_"):
        # A picture of our own is made from its number: so its camera is known again.
        made = scene(int(told["name"].removeprefix("r_hole_")))
        turn, eye, beside = made.camera.turn, made.camera.eye, made.drilling.offset
    else:
        return None
    far = np.array([*beside, -truth["wall_thickness_mm"]])
    meets = far + (eye - far) * (far[2] / (far[2] - eye[2]))
    right, down = _picture_axes(turn, eye)
    shift = meets - far
    return float(shift @ right), float(shift @ down)


def _picture_axes(turn: Array, eye: Array) -> tuple[Array, Array]:
    """Return the picture's right and down at the hole as unit vectors in the plane of the face."""
    ahead = -eye / np.linalg.norm(eye)
    right = turn[0] - (turn[0] @ ahead) * ahead
    right[2] = 0.0
    right /= np.linalg.norm(right)
    # Seen from above (+z towards the camera), down is a quarter turn clockwise from right.
    return right, np.array([right[1], -right[0], 0.0])
