"""The bench's key: made once, this user's alone, and what OpenSSH takes it for."""

import os
import stat
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from store.errors import BadKey, CannotRead, CannotWrite
from store.pack.signing_key import KEY_NAME, PublicKey, bench_key, read_key
from store.signing.key_file import key_folder
from tests.store.pack.packed import make_key


def told(*command: str) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def test_a_key_is_made_on_first_use_and_is_the_same_ever_after(tmp_path: Path) -> None:
    folder = tmp_path / "data" / "benchproof"
    first = bench_key(folder)
    assert bench_key(folder).public == first.public
    assert sorted(path.name for path in folder.iterdir()) == [KEY_NAME, f"{KEY_NAME}.pub"]
    assert stat.S_IMODE((folder / KEY_NAME).stat().st_mode) == 0o600


def test_openssh_reads_it_and_prints_the_same_fingerprint(tmp_path: Path) -> None:
    key = bench_key(tmp_path)
    public = told("ssh-keygen", "-y", "-f", str(tmp_path / KEY_NAME))
    assert public.split()[:2] == key.public.text.split()
    told_of = told("ssh-keygen", "-l", "-f", str(tmp_path / f"{KEY_NAME}.pub"))
    assert told_of.split()[1] == key.public.fingerprint


def test_a_key_made_by_openssh_is_read(tmp_path: Path) -> None:
    path = make_key(tmp_path)
    said = told("ssh-keygen", "-l", "-f", str(path))
    assert read_key(path).public.fingerprint == said.split()[1]


def test_programs_that_begin_at_once_end_with_one_key(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        keys = {key.public for key in pool.map(lambda _: bench_key(tmp_path), range(24))}
    assert len(keys) == 1
    assert not list(tmp_path.glob("*.part"))


def test_the_folder_is_the_users_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert key_folder() == tmp_path / "benchproof"


def test_a_key_that_others_may_read_is_refused(tmp_path: Path) -> None:
    path = make_key(tmp_path)
    path.chmod(0o640)
    with pytest.raises(BadKey, match="chmod 600"):
        read_key(path)


@pytest.mark.parametrize("kind", ["rsa", "ecdsa"])
def test_another_kind_of_key_is_refused(tmp_path: Path, kind: str) -> None:
    with pytest.raises(BadKey, match="not Ed25519"):
        read_key(make_key(tmp_path, kind=kind))


def test_a_key_with_a_passphrase_is_refused(tmp_path: Path) -> None:
    told("ssh-keygen", "-q", "-t", "ed25519", "-N", "secret words", "-f", str(tmp_path / "key"))
    with pytest.raises(BadKey, match="passphrase"):
        read_key(tmp_path / "key")


@pytest.mark.parametrize("content", [b"", b"no key\n", b"x" * 20_000, b"\x00" * 300])
def test_what_is_no_key_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "key"
    path.write_bytes(content)
    path.chmod(0o600)
    with pytest.raises(BadKey):
        read_key(path)


def test_a_key_that_can_not_be_read_now_is_not_called_a_bad_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = make_key(tmp_path)

    def fail(*_: object, **__: object) -> None:
        raise ImportError("libx.so: cannot open shared object file: Too many open files")

    monkeypatch.setattr("cryptography.hazmat.primitives.serialization.load_ssh_private_key", fail)
    with pytest.raises(CannotRead, match="could not be read now: a part of this program"):
        read_key(path)


def test_a_damaged_key_is_refused_and_never_replaced(tmp_path: Path) -> None:
    bench_key(tmp_path)
    content = (tmp_path / KEY_NAME).read_bytes()
    (tmp_path / KEY_NAME).write_bytes(content[:200])
    with pytest.raises(BadKey):
        bench_key(tmp_path)
    assert (tmp_path / KEY_NAME).read_bytes() == content[:200]


def test_a_public_key_is_no_private_one(tmp_path: Path) -> None:
    make_key(tmp_path)
    path = tmp_path / "key.pub"
    path.chmod(0o600)
    with pytest.raises(BadKey):
        read_key(path)
    with pytest.raises(BadKey, match="can't be read"):
        read_key(tmp_path / "none")
    with pytest.raises(BadKey, match="32 bytes"):
        PublicKey(b"short")


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(CannotWrite, match="signing-key"):
        bench_key(tmp_path / "file" / "below")
    assert os.listdir(tmp_path) == ["file"]  # noqa: PTH208 - names alone
