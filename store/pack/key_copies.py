"""The bench's keys as files elsewhere: public halves for customers, private ones for a backup.

A private key is written for its user alone and never over anything. One that comes in never takes
the place of another: what was signed with that other could not be gone on from.
"""

from pathlib import Path

from store.errors import BadKey
from store.files.disk import cannot_write
from store.pack.own_keys import OwnKeys
from store.pack.signing_key import KEY_NAME as PACK_KEY
from store.pack.signing_key import public_file, read_key
from store.signing.certificate import CERTIFICATE_NAME, read_report_key
from store.signing.certificate import KEY_NAME as REPORT_KEY
from store.signing.key_file import lay_beside, make_once, own_bytes


def write_public(keys: OwnKeys, target: Path) -> tuple[Path, ...]:
    """Write what anybody may have, the public key and the certificate; return the files.

    Raises CannotWrite.
    """
    pem = keys.report.certificate.pem
    texts = {f"{PACK_KEY}.pub": public_file(keys.pack.public), CERTIFICATE_NAME: pem}
    try:
        target.mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            (target / name).write_text(text, "ascii")
    except OSError as error:
        raise cannot_write(error, "the public keys") from error
    return tuple(target / name for name in texts)


def write_private(folder: Path, target: Path) -> tuple[Path, ...]:
    """Copy the private keys kept in ``folder``, readable by their user alone; return the files.

    Raises BadKey if there are other keys already, CannotWrite.
    """
    return tuple(_take(folder / name, target / name) for name in (PACK_KEY, REPORT_KEY))


def take_keys(folder: Path, source: Path) -> tuple[Path, ...]:
    """Make keys the bench's own, as ``folder`` keeps them; return the files.

    ``source`` is a folder that ``write_private`` wrote to, or one key's file: an OpenSSH Ed25519
    key, or a report's key with its certificate. Raises BadKey, CannotWrite.
    """
    if not source.is_dir():
        name = REPORT_KEY if _is_report_key(source) else PACK_KEY
        return (_take(source, folder / name),)
    there = [name for name in (PACK_KEY, REPORT_KEY) if (source / name).exists()]
    if not there:
        raise BadKey(f"{source} holds no keys: it should have {PACK_KEY} and {REPORT_KEY}")
    return tuple(_take(source / name, folder / name) for name in there)


def _is_report_key(path: Path) -> bool:
    return b"BEGIN CERTIFICATE" in own_bytes(path)


def _take(source: Path, target: Path) -> Path:
    """Copy one key's file, once it was seen to be one; what is there already stays."""
    content = own_bytes(source)
    if target.name == REPORT_KEY:
        public = CERTIFICATE_NAME, read_report_key(source).certificate.pem
    else:
        public = f"{PACK_KEY}.pub", public_file(read_key(source).public)
    make_once(target, content)
    if target.read_bytes() != content:
        raise BadKey(
            f"there is another key in {target}: it is not overwritten, for what was signed with it "
            "could not be gone on from; move it away first, and keep it"
        )
    lay_beside(target.with_name(public[0]), public[1])
    return target
