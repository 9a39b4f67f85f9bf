"""check.html: one page that checks a pack in a browser, without a terminal or a network."""

import base64
import hashlib
from pathlib import Path


def check_page() -> str:
    """Return the page, with nothing to fetch.

    Its content policy allows the one script and the one style in it, by their hashes, and no
    connection to anywhere.
    """
    here = Path(__file__)
    page, script, style = (
        here.with_name(f"check_page.{kind}").read_text("utf-8") for kind in ("html", "js", "css")
    )
    policy = (
        f"default-src 'none'; script-src '{_source(script)}'; style-src '{_source(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    return page.replace("@POLICY@", policy).replace("@STYLE@", style).replace("@SCRIPT@", script)


def _source(text: str) -> str:
    """Return a script or style as a content policy names it (CSP level 2, hash-source)."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"
