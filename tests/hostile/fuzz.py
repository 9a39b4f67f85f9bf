"""Coverage-guided fuzz of one target: ``python -m tests.hostile.fuzz TARGET --seconds 300``.

Needs ``pip install atheris`` (extra "fuzz"). Prints executions, time, branches reached, and what
was raised that is no refusal, each kind once; the inputs lie in ``--out``, with the corpus that
grew. ``--keep`` puts the smallest inputs that reached something new into corpus/TARGET.zip, which
tests read again. An input that takes over 10 s, or 2 GB, ends a run and counts as a crash.
"""

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
import traceback
import zipfile
from collections import Counter
from pathlib import Path

HERE = Path(__file__).parent
LONGEST_SECONDS, MOST_MEGABYTES = 10, 2048
_KEPT_BYTES, _KEPT_FILES = 6_000, 150
_MOST_WORDS = 2000
_RUNS = re.compile(r"^#(\d+)\s+\w+\s+cov: (\d+) ft: (\d+)(?: corp: (\d+))?", re.MULTILINE)


def main() -> int:
    """Run the child until the time is over; it ends by itself at a hang only."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("target")
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--out", type=Path, default=None)
    parser.add_argument("--longest", type=int, default=8192, help="of an input, in bytes")
    parser.add_argument("--keep", action="store_true")
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    given, rest = parser.parse_known_args()
    out = given.out or Path(tempfile.mkdtemp(prefix=f"fuzz-{given.target}-"))
    corpus, crashes = out / "corpus", out / "crashes"
    for folder in (corpus, crashes):
        folder.mkdir(parents=True, exist_ok=True)
    if given.child:
        _fuzz(given.target, crashes, rest)
        return 0
    _unpack(given.target, corpus)
    runs, first, last, stopped = 0, 0, 0, 0
    end = begin = time.monotonic()
    while (left := given.seconds - (end - begin)) > 1:
        said = _child(given.target, out, [
            f"-max_total_time={int(left)}", f"-timeout={LONGEST_SECONDS}",
            f"-max_len={given.longest}", f"-rss_limit_mb={MOST_MEGABYTES}",
            f"-artifact_prefix={crashes}/", str(corpus),
        ])  # fmt: skip
        found = [tuple(map(int, each[:3])) for each in _RUNS.findall(said)]
        if not found:
            print(said[-3000:])
            return 1
        runs += found[-1][0]
        first, last = first or found[0][1], max(last, found[-1][1])
        end = time.monotonic()
        stopped += "ERROR: libFuzzer" in said
    kinds = Counter(path.name.rsplit("-", 1)[0] for path in crashes.iterdir())
    print(
        f"{given.target}: {runs} executions in {end - begin:.0f} s; branches {first} at first, "
        f"{last} at the end (+{last - first}); corpus {len(list(corpus.iterdir()))}; stopped by a "
        f"hang or memory {stopped}; crashes {sum(kinds.values())} {dict(kinds) or ''}"
    )
    print(f"  in {out}")
    if given.keep:
        _keep(given.target, out)
    return 1 if kinds else 0


def _child(target: str, out: Path, options: list[str]) -> str:
    command = [sys.executable, "-m", "tests.hostile.fuzz", target, "--child", "--out", str(out)]
    done = subprocess.run([*command, *options], capture_output=True, text=True, errors="replace",
                          check=False, cwd=HERE.parents[1])  # fmt: skip
    return done.stdout + done.stderr


def _fuzz(name: str, crashes: Path, options: list[str]) -> None:
    """Be the child: never comes back."""
    import atheris  # noqa: PLC0415 - an extra that the tests need not

    with atheris.instrument_imports(include=_instrumented(name), enable_loader_override=False):
        from tests.hostile.targets import TARGETS, outcome  # noqa: PLC0415 - instrumented

        # What a target loads only when it is used is instrumented too.
        target = TARGETS[name]
        for seed in target.seeds():
            outcome(target, seed)
    seen: set[str] = set()
    words: set[str] = set()
    for number, seed in enumerate(target.seeds()):
        (Path(options[-1]) / f"seed-{number}").write_bytes(seed)
        words.update(re.findall(r"[A-Za-z_]{3,24}", seed.decode("latin-1")))
    known = crashes.with_name("words.txt")
    known.write_text("".join(f'"{word}"\n' for word in sorted(words)[:_MOST_WORDS]))

    def once(data: bytes) -> None:
        error = outcome(target, data)
        if error is None:
            return
        if isinstance(error, KeyboardInterrupt):
            raise error
        frame = traceback.extract_tb(error.__traceback__)[-1]
        kind = f"{type(error).__name__}-{Path(frame.filename).stem}-{frame.lineno}"
        if kind not in seen:
            seen.add(kind)
            (crashes / f"{kind}-{os.getpid()}").write_bytes(data)
            traceback.print_exception(error)

    atheris.Setup([sys.argv[0], f"-dict={known}", *options], once)
    atheris.Fuzz()


def _instrumented(name: str) -> list[str]:
    # The table of targets cannot be asked: reading it would load what is to be instrumented.
    return {
        "entry": ["capture", "annotate"],
        "exif": ["capture", "PIL"],
        "zip": ["store", "zipfile"],
        "layer": ["annotate", "store.pack"],
        "codec": ["store", "annotate", "json"],
        "plan": ["capture", "store", "annotate", "tomllib"],
    }.get(name, ["capture", "store", "annotate"])


def _unpack(target: str, corpus: Path) -> None:
    kept = HERE / "corpus" / f"{target}.zip"
    if kept.is_file():
        with zipfile.ZipFile(kept) as archive:
            archive.extractall(corpus)


def _keep(target: str, out: Path) -> None:
    """Pack the smallest inputs that reached something new, in an order that is always the same."""
    inputs = {path.read_bytes() for path in (out / "corpus").iterdir()}
    small = sorted(data for data in inputs if len(data) <= _KEPT_BYTES)
    found = sorted(small, key=len)[:_KEPT_FILES]
    kept = HERE / "corpus" / f"{target}.zip"
    kept.parent.mkdir(exist_ok=True)
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, data in enumerate(found):
            archive.writestr(zipfile.ZipInfo(f"{number:03}"), data, zipfile.ZIP_DEFLATED)
    print(f"  kept {len(found)} inputs in {kept.name}, {kept.stat().st_size} bytes")


if __name__ == "__main__":
    sys.exit(main())
