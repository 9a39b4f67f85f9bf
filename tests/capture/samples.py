"""The sample pictures and what is true of them (sample_images/answers.toml)."""

import tomllib
from typing import Any

from tests.capture.command import SAMPLES

ANSWERS: dict[str, Any] = tomllib.loads((SAMPLES / "answers.toml").read_text(encoding="utf-8"))
HOLES: dict[str, dict[str, Any]] = {hole["file"]: hole for hole in ANSWERS["hole"]}
(FACE,) = ANSWERS["face"]
