"""Who signs a report: the fingerprints that are printed in it, and what puts the signature in."""

from collections.abc import Callable

from msgspec import Struct


class Signer(Struct, frozen=True):
    """The shop's two keys as a report needs them.

    ``key`` is the fingerprint of the one that packs are signed with ("SHA256:..."),
    ``certificate`` that of the other's certificate (64 digits). ``sign`` gets the finished PDF and
    its time (ISO 8601) and returns it signed.
    """

    key: str
    certificate: str
    sign: Callable[[bytes, str], bytes]
