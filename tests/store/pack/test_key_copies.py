"""Keys elsewhere: public halves for anybody, private ones for one user, nothing overwritten."""

import shutil
import stat
import subprocess
from pathlib import Path

import pytest

from store.errors import BadKey, CannotWrite
from store.pack.key_copies import take_keys, write_private, write_public
from store.pack.own_keys import own_keys
from tests.store.pack.packed import make_key


def test_the_public_halves_are_what_ssh_and_openssl_read(tmp_path: Path) -> None:
    keys = own_keys(tmp_path / "own", "Tamm & Daughter")
    ssh, pem = write_public(keys, tmp_path / "for-all")
    said = subprocess.run(
        ["ssh-keygen", "-l", "-f", ssh], capture_output=True, text=True, check=True
    ).stdout
    assert said.split()[1] == keys.pack.public.fingerprint
    told = subprocess.run(
        ["openssl", "x509", "-in", pem, "-noout", "-fingerprint", "-sha256"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert told.strip()[-95:].replace(":", "").lower() == keys.report.certificate.fingerprint
    assert all(b"PRIVATE" not in path.read_bytes() for path in (tmp_path / "for-all").iterdir())


def test_private_keys_go_out_and_come_in_on_another_computer(tmp_path: Path) -> None:
    keys = own_keys(tmp_path / "own", "Tamm & Daughter")
    for path in write_private(tmp_path / "own", tmp_path / "stick"):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    take_keys(tmp_path / "other", tmp_path / "stick")
    again = own_keys(tmp_path / "other", "somebody else")
    assert again.pack.public == keys.pack.public
    assert again.report.certificate == keys.report.certificate
    assert write_private(tmp_path / "own", tmp_path / "stick")  # once more is no harm


def test_a_key_of_the_shop_s_own_becomes_the_bench_s(tmp_path: Path) -> None:
    path = make_key(tmp_path)
    take_keys(tmp_path / "own", path)
    said = subprocess.run(
        ["ssh-keygen", "-l", "-f", path], capture_output=True, text=True, check=True
    ).stdout
    assert own_keys(tmp_path / "own", "x").pack.public.fingerprint == said.split()[1]
    (name,) = take_keys(tmp_path / "own", tmp_path / "own/report-key.pem")
    assert name == tmp_path / "own/report-key.pem"


def test_no_key_takes_the_place_of_another(tmp_path: Path) -> None:
    own_keys(tmp_path / "own", "x")
    before = {path: path.read_bytes() for path in (tmp_path / "own").iterdir()}
    own_keys(tmp_path / "other", "x")
    with pytest.raises(BadKey, match="another key"):
        take_keys(tmp_path / "own", tmp_path / "other")
    with pytest.raises(BadKey, match="another key"):
        write_private(tmp_path / "other", tmp_path / "own")
    assert {path: path.read_bytes() for path in (tmp_path / "own").iterdir()} == before


def test_what_is_no_key_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    letter = tmp_path / "letter"
    letter.write_text("no key")
    letter.chmod(0o600)
    for source in (tmp_path / "empty", letter, tmp_path / "nothing"):
        with pytest.raises(BadKey):
            take_keys(tmp_path / "own", source)
    open_key = make_key(tmp_path)
    open_key.chmod(0o644)
    with pytest.raises(BadKey, match="chmod 600"):
        take_keys(tmp_path / "own", open_key)
    assert not (tmp_path / "own").exists()


def test_a_place_that_can_not_be_written_to_is_said(tmp_path: Path) -> None:
    keys = own_keys(tmp_path / "own", "x")
    shutil.copy(tmp_path / "own/signing-key.pub", tmp_path / "file")
    with pytest.raises(CannotWrite):
        write_public(keys, tmp_path / "file" / "below")
