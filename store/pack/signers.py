"""allowed_signers: which key may sign for which bench, as ssh-keygen reads it.

    north,south namespaces="evidence-pack" ssh-ed25519 AAAA...

The first key is the pack's; later ones are those that earlier checkpoints were signed with. The
file comes with the pack: it proves nothing until the fingerprint was compared in another way.
"""

import base64
import binascii
import re

from msgspec import Struct

from store.errors import BadKey, BadPack
from store.pack.signature import NAMESPACE
from store.pack.signing_key import ALGORITHM, PublicKey, ssh_string

_LINE = re.compile(
    rf'([a-z0-9-]{{1,32}}(?:,[a-z0-9-]{{1,32}})*) namespaces="{NAMESPACE}" '
    rf"{ALGORITHM} ([A-Za-z0-9+/]+=*)"
)
_MOST_LINES = 1000


class Signers(Struct, frozen=True):
    """The benches named, and the keys: the pack's own first."""

    benches: tuple[str, ...]
    keys: tuple[PublicKey, ...]


def signers_text(benches: tuple[str, ...], keys: tuple[PublicKey, ...]) -> str:
    """Return the file: a line for each key, good for every bench."""
    return "".join(f'{",".join(benches)} namespaces="{NAMESPACE}" {key.text}\n' for key in keys)


def parse_signers(text: bytes) -> Signers:
    """Return who may sign; raises BadPack unless every line is as ``signers_text`` writes it."""
    try:
        lines = text.decode("ascii").removesuffix("\n").split("\n")
    except UnicodeDecodeError as error:
        raise BadPack("allowed_signers is not plain text") from error
    found = [_LINE.fullmatch(line) for line in lines[:_MOST_LINES]]
    matches = [each for each in found if each is not None]
    if len(matches) != len(lines):
        raise BadPack("allowed_signers has a line that is no key of ours, for this use")
    if len({each[1] for each in matches}) != 1:
        raise BadPack("allowed_signers names other benches for one key than for another")
    signers = Signers(tuple(matches[0][1].split(",")), tuple(_key(each[2]) for each in matches))
    if signers_text(signers.benches, signers.keys).encode() != text:
        raise BadPack("allowed_signers is not as the program writes it")
    return signers


def _key(text: str) -> PublicKey:
    head = ssh_string(ALGORITHM.encode())
    try:
        blob = base64.b64decode(text, validate=True)
        key = PublicKey(blob[len(head) + 4 :])
    except (binascii.Error, BadKey) as error:
        raise BadPack(f"allowed_signers has a key that is none: {error}") from error
    if key.blob != blob:
        raise BadPack(f"allowed_signers has a key that is not {ALGORITHM}")
    return key
