"""Layers that a fuzz has found to end otherwise than with a number or a refusal."""

import pytest

from tests.hostile.targets import TARGETS, outcome

FOUND = {
    "points far off any rim, whose spread can't be drawn from": (
        b'{"width_px":640,"height_px":480,"focal_35mm":28,"marks":[{"type":"rim","which":"near",'
        b'"points_px":[[301,100],[400,200],[300,300],[200,2010],[371,929],[229,2],[330,150],'
        b'[350,160]],"sigma_px":0.5,"placed":"found","sext":"n"},'
        b'{"type":"far rim not seen","looks":"open"}]}'
    )
}


@pytest.mark.parametrize("name", FOUND)
def test_a_layer_found_once_is_measured_or_refused(name: str) -> None:
    assert outcome(TARGETS["layer"], FOUND[name]) is None
