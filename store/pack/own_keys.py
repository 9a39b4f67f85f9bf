"""The bench's own keys: one signs packs and checkpoints, the other reports."""

from pathlib import Path

from msgspec import Struct

from store.pack.signing_key import SigningKey, bench_key, read_key
from store.report.signer import Signer
from store.signing.certificate import ReportKey, report_key
from store.signing.pdf import signed_pdf


class OwnKeys(Struct, frozen=True):
    """Both keys of a bench."""

    pack: SigningKey
    report: ReportKey

    @property
    def signer(self) -> Signer:
        """What a report needs of them."""
        return Signer(
            self.pack.public.fingerprint,
            self.report.certificate.fingerprint,
            lambda pdf, at: signed_pdf(pdf, self.report, at),
        )


def own_keys(folder: Path, holder: str, key_file: Path | None = None) -> OwnKeys:
    """Return the keys kept in ``folder``, made there on first use.

    ``holder`` is the name that a new certificate gives. ``key_file`` is an OpenSSH key that signs
    packs in place of the one in the folder. Raises BadKey, CannotWrite.
    """
    pack = read_key(key_file) if key_file else bench_key(folder)
    return OwnKeys(pack, report_key(folder, holder))
