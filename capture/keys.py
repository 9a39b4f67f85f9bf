"""The fingerprints of the bench's own keys: what a customer compares signatures with."""

from pathlib import Path


def signing_fingerprint(key_file: Path | None = None) -> str:
    """Return the fingerprint of the key that packs are signed with: "SHA256:...".

    It must reach the customer in another way than the pack. Raises BadKey, CannotWrite.
    """
    from store.pack.signing_key import bench_key, read_key  # noqa: PLC0415 - slow to load
    from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

    key = read_key(key_file) if key_file else bench_key(key_folder())
    return key.public.fingerprint


def certificate_fingerprint() -> str:
    """Return the fingerprint of the certificate that reports were signed with, 64 digits.

    Raises BadKey if none was signed yet.
    """
    from store.signing.certificate import KEY_NAME, read_report_key  # noqa: PLC0415 - slow to load
    from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

    return read_report_key(key_folder() / KEY_NAME).certificate.fingerprint
