"""The bench's signing key: an Ed25519 private key in OpenSSH's own file format.

It is made on first use, in this user's data folder, readable by that user alone; or it is one that
the shop has already. It is never written to a book or a pack; its public half is.
"""

import base64
import hashlib
import os
import secrets
import struct
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from store.disk import cannot_write, sync_folder, write_all
from store.errors import BadKey

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

KEY_NAME = "signing-key"
ALGORITHM = "ssh-ed25519"
_MADE_FOR = "benchproof signing key"
_LONGEST_FILE = 16_384
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


def key_folder() -> Path:
    """Return the folder of this user that the bench's own key is kept in."""
    from platformdirs import user_data_path  # noqa: PLC0415 - only where something is signed

    return user_data_path("benchproof")


def ssh_string(data: bytes) -> bytes:
    """Return bytes with their length before them (RFC 4251 section 5, "string")."""
    return struct.pack(">I", len(data)) + data


def read_key(path: Path) -> SigningKey:
    """Return the key in an OpenSSH private key file.

    Raises BadKey for a file that others may read, one with a passphrase, or another kind of key.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415 - 40 ms
        Ed25519PrivateKey,
    )
    from cryptography.hazmat.primitives.serialization import (  # noqa: PLC0415 - the same
        load_ssh_private_key,
    )

    content = _own_bytes(path)
    try:
        private = load_ssh_private_key(content, password=None)
    except TypeError as error:
        raise BadKey(
            f"the key {path} has a passphrase, which is not asked for here: give one without, "
            "or leave --key out to use the bench's own"
        ) from error
    except Exception as error:  # the library raises whatever its parts do
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
        try:
            _make(path)
        except OSError as error:
            raise cannot_write(error, "the signing key") from error
    return read_key(path)


def _make(path: Path) -> None:
    """Write a new key whole or not at all; one that another program made meanwhile stays."""
    from cryptography.hazmat.primitives import serialization  # noqa: PLC0415 - 40 ms
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415 - the same
        Ed25519PrivateKey,
    )

    private = Ed25519PrivateKey.generate()
    content = private.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.OpenSSH,
        serialization.NoEncryption(),
    )
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = path.with_name(f"{path.name}.{secrets.token_hex(6)}.part")
    descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        try:
            write_all(descriptor, content)
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        # A link, not a rename: it never takes the place of a key that is there.
        with suppress(FileExistsError):
            os.link(part, path)
            public = f"{SigningKey(private).public.text} {_MADE_FOR}\n"
            path.with_name(f"{path.name}.pub").write_text(public, "ascii")
        sync_folder(path.parent)
    finally:
        part.unlink(missing_ok=True)


def _own_bytes(path: Path) -> bytes:
    """Return a key file's bytes; raises BadKey unless it is this user's alone, as ssh asks."""
    try:
        with path.open("rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            content = file.read(_LONGEST_FILE + 1)
    except OSError as error:
        raise BadKey(f"the key {path} can't be read: {error.strerror}") from error
    if os.name != "nt" and mode & 0o077:
        raise BadKey(f"others may read the key {path}: run chmod 600 on it first")
    if len(content) > _LONGEST_FILE:
        raise BadKey(f"{path} is too large to be a key")
    return content
