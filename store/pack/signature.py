"""SSH signatures of files: what ``ssh-keygen -Y sign`` writes and ``ssh-keygen -Y verify`` takes.

The format is OpenSSH's PROTOCOL.sshsig: a blob (magic, version, public key, namespace, hash name,
signature) in base64 lines of 70 between two marks. What is signed is the magic, the namespace, the
hash name and the SHA-512 of the file, so that a signature for one use is none for another.

A signature file is read strictly: it must be, byte for byte, what this module writes for the blob
in it. Nothing may stand before the first mark, after the last, or between.
"""

import base64
import binascii
import hashlib
import struct

from msgspec import Struct

from store.errors import BadSignature
from store.pack.signing_key import ALGORITHM, PublicKey, SigningKey, ssh_string

NAMESPACE = "evidence-pack"
SUFFIX = ".sig"
_MAGIC = b"SSHSIG"
_VERSION = 1
_HASH = "sha512"
_BEGIN, _END = "-----BEGIN SSH SIGNATURE-----", "-----END SSH SIGNATURE-----"
_LINE = 70
_KEY_BYTES, _SIGNATURE_BYTES = 32, 64
_LONGEST = 4096


class Signature(Struct, frozen=True):
    """A signature read from a file: who says to have signed, and the 64 bytes."""

    key: PublicKey
    raw: bytes


def sign(message: bytes, key: SigningKey) -> str:
    """Return the signature file for a message."""
    signature = ssh_string(ALGORITHM.encode()) + ssh_string(key.sign(_signed(message)))
    blob = b"".join((
        _MAGIC, struct.pack(">I", _VERSION), ssh_string(key.public.blob),
        ssh_string(NAMESPACE.encode()), ssh_string(b""), ssh_string(_HASH.encode()),
        ssh_string(signature),
    ))  # fmt: skip
    return _armoured(blob)


def parse_signature(text: bytes) -> Signature:
    """Return the signature in a file's bytes; raises BadSignature saying what is wrong."""
    blob = _unarmoured(text)
    if not blob.startswith(_MAGIC):
        raise BadSignature("it is not an SSH signature")
    version, rest = _number(blob[len(_MAGIC) :])
    if version != _VERSION:
        raise BadSignature(f"it is of version {version}, not {_VERSION}")
    key_blob, rest = _string(rest)
    namespace, rest = _string(rest)
    _, rest = _string(rest)  # reserved: to be passed over, whatever it holds
    hash_name, rest = _string(rest)
    signature, rest = _string(rest)
    if rest:
        raise BadSignature("it has something after its end")
    if namespace != NAMESPACE.encode():
        raise BadSignature(f"it was made for another use: {namespace[:40]!r}, not {NAMESPACE}")
    if hash_name != _HASH.encode():
        raise BadSignature(f"it uses the hash {hash_name[:20]!r}, not {_HASH}")
    return Signature(
        PublicKey(_of_algorithm(key_blob, _KEY_BYTES)), _of_algorithm(signature, _SIGNATURE_BYTES)
    )


def check_signature(message: bytes, text: bytes) -> PublicKey:
    """Return the key that signed a message; raises BadSignature if none in ``text`` did.

    Whether that key is one to be believed is for the caller to ask.
    """
    from cryptography.exceptions import InvalidSignature  # noqa: PLC0415 - 40 ms
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415 - the same
        Ed25519PublicKey,
    )

    signature = parse_signature(text)
    try:
        Ed25519PublicKey.from_public_bytes(signature.key.raw).verify(
            signature.raw, _signed(message)
        )
    except (InvalidSignature, ValueError) as error:
        raise BadSignature("what was signed is not this: one of the two was changed") from error
    return signature.key


def _signed(message: bytes) -> bytes:
    """Return the bytes that the key signs for a message."""
    return b"".join((
        _MAGIC, ssh_string(NAMESPACE.encode()), ssh_string(b""), ssh_string(_HASH.encode()),
        ssh_string(hashlib.sha512(message).digest()),
    ))  # fmt: skip


def _armoured(blob: bytes) -> str:
    text = base64.b64encode(blob).decode("ascii")
    lines = [text[start : start + _LINE] for start in range(0, len(text), _LINE)]
    return "\n".join([_BEGIN, *lines, _END]) + "\n"


def _unarmoured(text: bytes) -> bytes:
    if len(text) > _LONGEST:
        raise BadSignature("it is too long to be a signature")
    try:
        lines = text.decode("ascii").split("\n")
        blob = base64.b64decode("".join(lines[1:-2]), validate=True)
    except (UnicodeDecodeError, binascii.Error) as error:
        raise BadSignature("it is not base64 between two marks") from error
    if _armoured(blob).encode("ascii") != text:
        raise BadSignature("it has something before BEGIN, after END or between, or other lines")
    return blob


def _number(data: bytes) -> tuple[int, bytes]:
    if len(data) < 4:  # noqa: PLR2004 - a number has four bytes
        raise BadSignature("it is cut off")
    return int.from_bytes(data[:4], "big"), data[4:]


def _string(data: bytes) -> tuple[bytes, bytes]:
    size, rest = _number(data)
    if size > len(rest):
        raise BadSignature("it is cut off")
    return rest[:size], rest[size:]


def _of_algorithm(blob: bytes, size: int) -> bytes:
    """Return the one field of a key or a signature, which must be Ed25519's."""
    name, rest = _string(blob)
    if name != ALGORITHM.encode():
        raise BadSignature(f"it is of the kind {name[:30]!r}, not {ALGORITHM}")
    raw, rest = _string(rest)
    if rest or len(raw) != size:
        raise BadSignature("its key or its signature has a wrong length")
    return raw
