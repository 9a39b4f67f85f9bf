"""benchproof pack: write a signed copy of a book to hand over."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof pack job-12 job-12-pack.zip
  benchproof pack job-12 job-12-pack --key ~/.ssh/shop_ed25519
  benchproof pack job-12 for-the-buyer.zip --leave-out 17 18"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    add_book(parser)
    parser.add_argument(
        "pack", metavar="PACK", type=Path, help="what to write: a name in .zip, or a new folder"
    )
    parser.add_argument(
        "--key",
        metavar="FILE",
        type=Path,
        help="an OpenSSH Ed25519 private key (default: the bench's own, made on first use)",
    )
    parser.add_argument(
        "--leave-out",
        metavar="ENTRY",
        nargs="+",
        default=(),
        help="entries (number or hash) whose lines stay here; their hashes go along, the report "
        "and the files that would tell of them do not",
    )
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Write the pack, say where it is, and which fingerprint to give in another way."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import counting, say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.keys import (  # noqa: PLC0415 - the same
        certificate_fingerprint,
        signing_fingerprint,
    )

    with opened(given.book, edge) as journey, counting("pack") as count:
        written = journey.pack(
            given.pack,
            key_file=given.key,
            leave_out=tuple(given.leave_out),
            progress=lambda done, of, _: count(done, of),
        )
    fingerprint, certificate = signing_fingerprint(given.key), certificate_fingerprint()
    if given.json:
        told = {"pack": str(written), "fingerprint": fingerprint, "certificate": certificate}
        say_json(told)
        return DONE
    say(f"pack {written}")
    say(f"signed with {fingerprint}")
    if given.leave_out:
        say("no report is in it: it would tell of the lines that stay here")
        say("tell the customer that in another way: by telephone ('benchproof key' spells it out)")
    else:
        say(f"the report in it with the certificate {certificate}")
        say(
            "tell the customer both in another way: by telephone ('benchproof key' spells them out)"
        )
    say("how to check it without this program: data/HOW-TO-CHECK.txt in it")
    return DONE
