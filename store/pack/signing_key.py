"""The bench's signing key: an Ed25519 private key in OpenSSH's own file format.

It is made on first use, in this user's data folder, readable by that user alone; or it is one that
the shop has already. It is never written to a book or a pack; its public half is.
"""

import base64
import hashlib
import struct
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from store.errors import BadKey
from store.files.passing import cannot_read_now, is_passing
from store.signing.key_file import lay_beside, make_once, own_bytes

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

KEY_NAME = "signing-key"
ALGORITHM = "ssh-ed25519"
_MADE_FOR = "benchproof signing key"
_KEY_BYTES = 32


class PublicKey(Struct, frozen=True):
    """The public half: 32 bytes (RFC 8032)."""

    raw: bytes

    def __post_init__(self) -> None:
        if len(self.raw) != _KEY_BYTES:
            raise BadKey(f"an Ed25519 key has {_KEY_BYTES} bytes, this one {len(self.raw)}")

    @property
    def blob(self) -> bytes:
        """The key as SSH writes it on the wire (RFC 8709 section 4)."""
        return ssh_string(ALGORITHM.encode()) + ssh_string(self.raw)

    @property
    def text(self) -> str:
        """The key as it stands in a .pub file: "ssh-ed25519 AAAA..."."""
        return f"{ALGORITHM} {base64.b64encode(self.blob).decode()}"

    @property
    def fingerprint(self) -> str:
        """The key's fingerprint as ssh-keygen prints it: "SHA256:..."."""
        digest = base64.b64encode(hashlib.sha256(self.blob).digest()).decode().rstrip("=")
        return f"SHA256:{digest}"


class SigningKey:
    """A private key that can sign, and its public half."""

    def __init__(self, private: "Ed25519PrivateKey") -> None:
        self._private = private
        self.public = PublicKey(private.public_key().public_bytes_raw())

    def sign(self, message: bytes) -> bytes:
        """Return the 64 bytes of an Ed25519 signature; the same message gives the same bytes."""
        return self._private.sign(message)


def ssh_string(data: bytes) -> bytes:
    """Return bytes with their length before them (RFC 4251 section 5, "string")."""
    return struct.pack(">I", len(data)) + data


def public_file(key: PublicKey) -> str:
    """Return a .pub file's line for a key."""
    return f"{key.text} {_MADE_FOR}\n"


def read_key(path: Path) -> SigningKey:
    """Return the key in an OpenSSH private key file.

    Raises BadKey for a file that others may read, one with a passphrase, or another kind of key,
    CannotRead where it could not be read now.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415 - 40 ms
        Ed25519PrivateKey,
    )
    from cryptography.hazmat.primitives.serialization import (  # noqa: PLC0415 - the same
        load_ssh_private_key,
    )

    content = own_bytes(path)
    try:
        private = load_ssh_private_key(content, password=None)
    except TypeError as error:
        raise BadKey(
            f"the key {path} has a passphrase, which is not asked for here: give one without, "
            "or leave --key out to use the bench's own"
        ) from error
    except Exception as error:  # the library raises whatever its parts do
        if is_passing(error):
            raise cannot_read_now(error, f"the key {path}") from error
        raise BadKey(f"{path} is not an OpenSSH private key: {error}") from error
    if not isinstance(private, Ed25519PrivateKey):
        raise BadKey(f"the key {path} is not Ed25519: make one with ssh-keygen -t ed25519")
    return SigningKey(private)


def bench_key(folder: Path) -> SigningKey:
    """Return the bench's own key, made in ``folder`` if there is none yet.

    Raises BadKey for a file that is no such key, CannotWrite.
    """
    path = folder / KEY_NAME
    if not path.exists():
        make_once(path, _made())
    key = read_key(path)
    lay_beside(folder / f"{KEY_NAME}.pub", public_file(key.public))
    return key


def _made() -> bytes:
    """Return a new private key's file."""
    from cryptography.hazmat.primitives import serialization  # noqa: PLC0415 - 40 ms
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415 - the same
        Ed25519PrivateKey,
    )

    private = Ed25519PrivateKey.generate()
    return private.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.OpenSSH,
        serialization.NoEncryption(),
    )
