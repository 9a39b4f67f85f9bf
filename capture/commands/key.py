"""benchproof key: show the fingerprints of this bench's keys, and copy the keys."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_json

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.pack.own_keys import OwnKeys

EXAMPLES = """  benchproof key
  benchproof key --public for-the-customer
  benchproof key --export ~/stick/keys
  benchproof key --import ~/.ssh/shop_ed25519"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    what = parser.add_mutually_exclusive_group()
    what.add_argument(
        "--public", metavar="FOLDER", type=Path,
        help="write the public key and the certificate there, for anybody to check with",
    )  # fmt: skip
    what.add_argument(
        "--export", metavar="FOLDER", type=Path,
        help="copy the private keys there, for a backup or this shop's other computer; whoever has "
        "them can sign for this bench",
    )  # fmt: skip
    what.add_argument(
        "--import", dest="take", metavar="PATH", type=Path,
        help="use these keys from now on: a folder that --export wrote, or an OpenSSH Ed25519 key; "
        "keys that are there are never overwritten",
    )  # fmt: skip
    parser.add_argument(
        "--name",
        default="",
        help="the name that a new certificate gives its holder (default: the shop of the first "
        "report, here the bench's name)",
    )
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Do what was asked with the keys, and say their fingerprints, spelt out too."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from store.pack import key_copies  # noqa: PLC0415 - the same
    from store.pack.own_keys import own_keys  # noqa: PLC0415 - the same
    from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

    folder = key_folder()
    files = key_copies.take_keys(folder, given.take) if given.take else ()
    keys = own_keys(folder, given.name.strip() or edge.bench)
    if given.public:
        files = key_copies.write_public(keys, given.public)
    if given.export:
        files = key_copies.write_private(folder, given.export)
    if given.json:
        say_json(_answer(keys, folder, files))
        return DONE
    for path in files:
        say(f"{'taken in as' if given.take else 'written'} {path}")
    for line in _lines(keys, folder):
        say(line)
    return DONE


def _answer(keys: "OwnKeys", folder: Path, files: tuple[Path, ...]) -> dict[str, object]:
    return {
        "fingerprint": keys.pack.public.fingerprint,
        "public_key": keys.pack.public.text,
        "certificate": keys.report.certificate.fingerprint,
        "holder": keys.report.certificate.name,
        "kept_in": str(folder),
        "files": [str(path) for path in files],
    }


def _lines(keys: "OwnKeys", folder: Path) -> list[str]:
    from capture.words.spelling import spelt  # noqa: PLC0415 - not for a program

    key, certificate = keys.pack.public.fingerprint, keys.report.certificate
    digest = key.partition(":")[2]
    return [
        f"key that signs packs: {key}",
        *(f"  {line}" for line in spelt(digest)),
        f"certificate that signs reports, of {certificate.name}: {certificate.fingerprint}",
        *(f"  {line}" for line in spelt(certificate.fingerprint)),
        f"kept in {folder}, for this user alone: copy it somewhere safe with --export",
        "tell customers both fingerprints in another way than a pack: by telephone, on the invoice",
    ]
