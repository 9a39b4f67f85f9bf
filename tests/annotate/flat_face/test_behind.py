"""Edges behind the plane of a target, held against a pinhole that is written out here."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.stats import binom

from annotate.errors import CannotMeasure
from annotate.flat_face.behind import lying, positive_mm, refuse_nonsense, smaller_percent
from annotate.flat_face.face import EDGE_DEPTH_MM, TRIALS, Survey, measure_holes
from annotate.flat_face.face_fit import PAPER_MM, PAPER_U_MM
from annotate.flat_face.two_edges import Edges
from annotate.marks import Layer, Marker, Rim
from annotate.optics.lens import FULL_FRAME_DIAGONAL_MM
from annotate.quantity import Quantity
from annotate.scale import Scale, scale_from

WIDTH, HEIGHT, FOCAL_PX = 1600, 1200, 2100.0
FOCAL_35MM = FOCAL_PX * FULL_FRAME_DIAGONAL_MM / np.hypot(WIDTH, HEIGHT)
HOLES = [(11.0, (-30.0, 8.0)), (6.4, (24.0, 17.0)), (14.0, (26.0, -15.0))]
TAU = np.linspace(0, 2 * np.pi, 72, endpoint=False)
EDGE = EDGE_DEPTH_MM * np.log(2)  # how deep below the face a plain edge is taken to lie, on average


class Pinhole:
    """Similar triangles and nothing else: a camera whose eye is ``over`` mm above the target."""

    def __init__(self, over: float, tilt_deg: float = 0.0, around_deg: float = 0.0) -> None:
        lean, a = np.radians(tilt_deg), np.radians(around_deg)
        sideways = over * np.tan(lean)
        self.eye = np.array([sideways * np.cos(a), sideways * np.sin(a), -over])
        forward = -self.eye / np.linalg.norm(self.eye)
        right = np.cross([0.0, 1.0, 0.0], forward)
        right /= np.linalg.norm(right)
        self.axes = np.stack([right, np.cross(forward, right), forward])

    def see(self, places: np.ndarray, z: float) -> np.ndarray:
        """Return where places (N, 2) of the plane z mm behind the target's are seen, in px."""
        way = (np.column_stack([places, np.full(len(places), z)]) - self.eye) @ self.axes.T
        return FOCAL_PX * way[:, :2] / way[:, 2:] + [(WIDTH - 1) / 2, (HEIGHT - 1) / 2]

    def rim(self, diameter: float, at: tuple[float, float], z: float) -> Rim:
        places = np.array(at) + diameter / 2 * np.column_stack([np.cos(TAU), np.sin(TAU)])
        return Rim("near", tuple(map(tuple, self.see(places, z).tolist())), 0.2)

    def scale(self, side: Quantity, *, focal: bool = True) -> Scale:
        corners = np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]]) * side.value / 2
        mark = Marker(tuple(map(tuple, self.see(corners, 0.0).tolist())), side, 0, "4x4_50")
        layer = Layer(WIDTH, HEIGHT, (), FOCAL_35MM if focal else None)
        found = scale_from(mark, layer)
        assert isinstance(found, Scale)
        return found


SIDE = Quantity(30.0, "mm", 0.002)


def surveyed(
    camera: Pinhole, z: float, typed: Quantity | None, *, focal: bool = True, trials: int = TRIALS
) -> Survey:
    rims = [camera.rim(diameter, at, z + EDGE) for diameter, at in HOLES]
    return measure_holes(camera.scale(SIDE, focal=focal), rims, behind=typed, trials=trials)


@settings(max_examples=25, deadline=None)
@given(
    over=st.floats(110, 320), tilt=st.floats(0, 35), around=st.floats(0, 360),
    share=st.floats(-0.15, 0.4), u=st.floats(0, 0.5),
)  # fmt: skip
def test_lengths_behind_or_before_a_target_come_out_as_they_are(
    over: float, tilt: float, around: float, share: float, u: float
) -> None:
    z = share * over
    found = surveyed(Pinhole(over, tilt, around), z, Quantity(z, "mm", u), trials=400)
    for told, (diameter, _) in zip(found.diameters, HOLES, strict=True):
        assert_allclose(told.value, diameter, rtol=0.004)
        low, high = told.interval()
        assert low < diameter < high
    for pair in found.pairs:
        apart = np.hypot(*np.subtract(HOLES[pair.end][1], HOLES[pair.start][1]))
        assert_allclose(pair.distance.value, apart, rtol=0.004)
    assert_allclose(found.height.value, over, rtol=0.01)


@pytest.mark.parametrize(("z", "over", "percent"), [(5.0, 200.0, 2.5), (-4.0, 160.0, -2.5)])
def test_what_was_taken_to_lie_in_the_plane_is_made_larger_by_z_over_d(
    z: float, over: float, percent: float
) -> None:
    camera = Pinhole(over)
    known, flat = Quantity(z, "mm"), Quantity(0.0, "mm")
    put_right, taken = (surveyed(camera, z, typed) for typed in (known, flat))
    for right, before in zip(put_right.diameters, taken.diameters, strict=True):
        assert_allclose(100 * (right.value / before.value - 1), percent, atol=0.03)
    # Seen smaller is of what it is, not of what it looks.
    assert smaller_percent(z, over) == pytest.approx(100 * (1 - over / (over + z)))


def test_a_print_on_the_face_is_one_as_thick_as_paper() -> None:
    camera = Pinhole(180.0, 15.0)
    as_paper = Quantity(PAPER_MM, "mm", PAPER_U_MM)
    flat, typed = (surveyed(camera, PAPER_MM, one) for one in (None, as_paper))
    for one, other in zip(flat.diameters, typed.diameters, strict=True):
        assert_allclose(other.value, one.value, rtol=2e-4)
        assert_allclose(other.u, one.u, rtol=0.05)
    assert typed.height == flat.height


def test_doubt_of_the_length_typed_is_carried_by_similar_triangles() -> None:
    camera, z, u = Pinhole(200.0), 10.0, 2.0
    exact, vague = (surveyed(camera, z, Quantity(z, "mm", each)) for each in (0.0, u))
    for one, other, (diameter, _) in zip(exact.diameters, vague.diameters, HOLES, strict=True):
        added = np.sqrt(other.u**2 - one.u**2)
        assert_allclose(added, diameter * u / (200.0 + z), rtol=0.06)
    for pair, vaguer in zip(exact.pairs, vague.pairs, strict=True):
        assert vaguer.distance.u > pair.distance.u
        # What was typed is not the photo's fault.
        assert_allclose(vaguer.seen_mm, pair.seen_mm, rtol=1e-3)


def test_doubt_of_the_focal_length_is_doubt_of_the_height_and_so_of_what_lies_behind() -> None:
    camera, z = Pinhole(200.0), Quantity(20.0, "mm")
    sure, open_ = (surveyed(camera, 20.0, z, focal=focal) for focal in (True, False))
    assert open_.height.u > 3 * sure.height.u
    low, high = open_.height.interval()
    assert low < 200.0 < high
    assert low > 0
    flat = surveyed(camera, 0.0, Quantity(0.0, "mm"), focal=False)
    for one, plain, (diameter, _) in zip(open_.diameters, flat.diameters, HOLES, strict=True):
        assert one.u > 2 * plain.u
        assert one.interval()[0] < diameter < one.interval()[1]


def test_intervals_hold_the_truth_over_many_cameras_and_offsets() -> None:
    rng, trials = np.random.default_rng(77), 60
    held = {"diameter": 0, "distance": 0, "height": 0}
    for k in range(trials):
        over, u = rng.uniform(130, 300), rng.uniform(0.1, 1.5)
        camera = Pinhole(over, rng.uniform(0, 35), rng.uniform(0, 360))
        z = rng.uniform(-8, 25)
        typed = Quantity(z + u * rng.standard_normal(), "mm", u)
        rims = [camera.rim(d, at, z + rng.exponential(EDGE_DEPTH_MM)) for d, at in HOLES]
        noisy = [
            Rim("near", tuple(map(tuple, (r.array_px() + np.repeat(
                rng.normal(0, 0.25, (12, 2)), 6, axis=0)).tolist())), 0.25) for r in rims
        ]  # fmt: skip
        corners = np.array(camera.see(np.array([[-15.0, -15], [15, -15], [15, 15], [-15, 15]]), 0))
        mark = Marker(
            tuple(map(tuple, (corners + rng.normal(0, 0.1, (4, 2))).tolist())), SIDE, 0, "4x4_50"
        )
        # EXIF rounds, and a lens breathes: the focal length is not quite what the file says.
        layer = Layer(WIDTH, HEIGHT, (), FOCAL_35MM * float(np.exp(rng.normal(0, 0.04))))
        scale = scale_from(mark, layer)
        assert isinstance(scale, Scale)
        found = measure_holes(scale, noisy, trials=400, behind=typed)
        low, high = found.diameters[k % 3].interval()
        held["diameter"] += low <= HOLES[k % 3][0] <= high
        pair = found.pairs[k % 3]
        apart = np.hypot(*np.subtract(HOLES[pair.end][1], HOLES[pair.start][1]))
        low, high = pair.distance.interval()
        held["distance"] += low <= apart <= high
        low, high = found.height.interval()
        held["height"] += low <= over <= high
    assert min(held.values()) >= binom.ppf(0.002, trials, 0.95)


def test_a_chamfers_lower_edge_is_carried_along() -> None:
    camera, z, width, depth = Pinhole(170.0, 25.0, 40.0), 12.0, 0.8, 0.8
    edges = [
        Edges(camera.rim(d, at, z + depth), camera.rim(d + 2 * width, at, z)) for d, at in HOLES
    ]
    found = measure_holes(camera.scale(SIDE), edges, behind=Quantity(z, "mm", 0.05))
    for told, (diameter, _) in zip(found.diameters, HOLES, strict=True):
        assert_allclose(told.value, diameter, rtol=0.004)


def test_a_face_that_may_lie_behind_the_camera_does_not() -> None:
    rng = np.random.default_rng(5)
    over = rng.normal(100.0, 2.0, 4000)
    lie = lying(over, np.zeros(4000), Quantity(-40.0, "mm", 30.0), np.ones(4000), rng)
    assert 0.9 < lie.possible.mean() < 1
    assert (lie.times[lie.possible] > 0).all()
    assert (lie.face_mm[lie.possible] > 0).all()


@given(middle=st.floats(1, 1000), part=st.floats(0.001, 0.6))
def test_heights_are_positive_and_the_same_to_first_order(middle: float, part: float) -> None:
    normal = middle * (1 + part * np.random.default_rng(3).standard_normal(999))
    heights = positive_mm(normal)
    assert (heights > 0).all()
    near = np.abs(normal / np.median(normal) - 1) < 0.01
    assert_allclose(heights[near], normal[near], rtol=1e-4)


@pytest.mark.parametrize(
    ("z", "refused"),
    [(200.0, True), (5000.0, True), (-100.0, True), (199.0, False), (-99.0, False), (0.0, False)],
)
def test_edges_where_no_camera_would_see_them_are_a_slip(z: float, refused: bool) -> None:
    why = ""
    try:
        refuse_nonsense(Quantity(z, "mm"), 200.0)
    except CannotMeasure as error:
        why = str(error)
    assert bool(why) == refused
    where = "in front of" if z < 0 else "behind"
    if refused:
        assert f"{where} the target, which is itself only about 200 mm from the camera" in why
