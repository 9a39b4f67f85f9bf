"""Signatures are OpenSSH's own, byte for byte, and read strictly. ssh-keygen is the judge."""

import subprocess
from pathlib import Path

import pytest

from store.errors import BadPack, BadSignature
from store.pack.signature import check_signature, parse_signature, sign
from store.pack.signers import parse_signers, signers_text
from store.pack.signing_key import PublicKey, read_key
from tests.store.pack.packed import make_key

MESSAGE = b"north/K-118\n41\n" + b"0" * 64 + b"\n"


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_key(tmp_path_factory.mktemp("key"))


def by_ssh_keygen(key: Path, message: bytes, namespace: str = "evidence-pack") -> bytes:
    """Return the signature that ssh-keygen -Y sign makes of the same message."""
    command = ["ssh-keygen", "-q", "-Y", "sign", "-f", str(key), "-n", namespace]
    return subprocess.run(command, input=message, capture_output=True, check=True).stdout


@pytest.mark.parametrize("message", [b"", b"one line\n", MESSAGE, bytes(range(256)) * 999])
def test_a_signature_is_the_one_that_ssh_keygen_makes(key: Path, message: bytes) -> None:
    assert sign(message, read_key(key)).encode() == by_ssh_keygen(key, message)


def test_ssh_keygen_verifies_it_by_our_list_of_signers(key: Path, tmp_path: Path) -> None:
    ours = read_key(key)
    (tmp_path / "allowed_signers").write_text(signers_text(("north", "south"), (ours.public,)))
    (tmp_path / "m.sig").write_text(sign(MESSAGE, ours))

    def verify(bench: str, message: bytes, namespace: str = "evidence-pack") -> int:
        command = ["ssh-keygen", "-Y", "verify", "-f", "allowed_signers", "-I", bench, "-n",
                   namespace, "-s", "m.sig"]  # fmt: skip
        done = subprocess.run(
            command, input=message, cwd=tmp_path, capture_output=True, check=False
        )
        return done.returncode

    assert verify("north", MESSAGE) == 0
    assert verify("south", MESSAGE) == 0
    assert verify("east", MESSAGE) != 0
    assert verify("north", MESSAGE + b"\n") != 0
    assert verify("north", MESSAGE, "file") != 0


def test_what_ssh_keygen_signed_is_taken_and_names_the_key(key: Path) -> None:
    assert check_signature(MESSAGE, by_ssh_keygen(key, MESSAGE)) == read_key(key).public


def test_another_message_is_not_what_was_signed(key: Path) -> None:
    text = by_ssh_keygen(key, MESSAGE)
    for changed in (MESSAGE[:-1], MESSAGE + b"\n", MESSAGE.replace(b"41", b"42"), b""):
        with pytest.raises(BadSignature, match="not this"):
            check_signature(changed, text)


def test_every_flipped_bit_of_a_signature_is_refused(key: Path) -> None:
    text = by_ssh_keygen(key, MESSAGE)
    for place in range(len(text)):
        for bit in (0, 3, 6):
            flipped = bytearray(text)
            flipped[place] ^= 1 << bit
            with pytest.raises(BadSignature):
                check_signature(MESSAGE, bytes(flipped))


def test_nothing_may_stand_round_a_signature_or_in_it(key: Path) -> None:
    text = by_ssh_keygen(key, MESSAGE)
    first, *body, last = text.splitlines(keepends=True)
    wrong = [
        b"\n" + text, b" " + text, b"Trust me\n" + text, text + b"\n", text + b"PS\n", text + text,
        text[:-1], text.replace(b"\n", b"\r\n"), b"".join([first, b"\n", *body, last]),
        b"".join([first, b"".join(body).replace(b"\n", b"") + b"\n", last]),
        b"".join(body), first + last, b"", text[: len(text) // 2], b"\xff" + text,
        b"".join([first, b"Comment: x\n", *body, last]), text.replace(b"SSH SIG", b"PGP SIG"),
    ]  # fmt: skip
    for each in wrong:
        with pytest.raises(BadSignature):
            parse_signature(each)


def test_a_signature_for_another_use_or_by_another_kind_of_key_is_refused(
    key: Path, tmp_path: Path
) -> None:
    with pytest.raises(BadSignature, match="another use"):
        parse_signature(by_ssh_keygen(key, MESSAGE, "git"))
    other = make_key(tmp_path, "ec", "ecdsa")
    with pytest.raises(BadSignature, match="kind"):
        parse_signature(by_ssh_keygen(other, MESSAGE))


def test_a_signature_with_sha256_is_refused_as_it_says(key: Path) -> None:
    command = ["ssh-keygen", "-q", "-Y", "sign", "-f", str(key), "-n", "evidence-pack", "-O",
               "hashalg=sha256"]  # fmt: skip
    done = subprocess.run(command, input=MESSAGE, capture_output=True, check=True)
    with pytest.raises(BadSignature, match="sha256"):
        parse_signature(done.stdout)


def test_signers_are_read_back_and_nothing_else_is_taken() -> None:
    keys = PublicKey(bytes(range(32))), PublicKey(bytes(32))
    text = signers_text(("north", "south"), keys).encode()
    read = parse_signers(text)
    assert (read.benches, read.keys) == (("north", "south"), keys)
    one = signers_text(("north",), keys[:1]).encode()
    wrong = [
        b"", b"\n", text[:-1], b"# a comment\n" + one, one.replace(b"north", b"*"),
        one.replace(b"north", b"NORTH"), one.replace(b' namespaces="evidence-pack"', b""),
        one.replace(b"evidence-pack", b"file"), one.replace(b"namespaces", b"cert-authority,x"),
        one.replace(b"ed25519 ", b"rsa "), one.replace(b"AAAA", b"AAAB"), one + one[:40] + b"\n",
        one.replace(b"\n", b" comment\n"), one + signers_text(("south",), keys[1:]).encode(),
    ]  # fmt: skip
    for each in wrong:
        with pytest.raises(BadPack):
            parse_signers(each)
