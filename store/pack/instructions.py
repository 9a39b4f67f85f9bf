"""HOW-TO-CHECK.txt: how a stranger checks a pack with standard tools, and what that shows.

Every command stands on lines of its own, indented by five blanks, and is run in the pack's folder.
"""

from msgspec import Struct

from store.pack.bag import one_line
from store.pack.checkpoint import Checkpoint
from store.pack.signature import NAMESPACE
from store.ways_out.readings_csv import POLICY, columns_text

NAME = "HOW-TO-CHECK.txt"


class Facts(Struct, frozen=True):
    """What the page says of this pack. ``left_out`` counts the lines that stayed at the bench.

    ``certificate`` is the fingerprint of the one that signs the report, empty without a report;
    ``has_forks`` is whether other branches of a history come along.
    """

    job: str
    shop: str
    at: str
    fingerprint: str
    older_keys: tuple[str, ...]
    checkpoints: tuple[Checkpoint, ...]
    left_out: int
    certificate: str = ""
    has_forks: bool = False


def how_to_check(facts: Facts) -> str:
    """Return the page: what lies where, the commands, what they show and what they do not."""
    first = facts.checkpoints[0].bench
    chains = "".join(_chain(number, each) for number, each in enumerate(facts.checkpoints, start=3))
    last = len(facts.checkpoints) + 3
    return "".join((
        _head(facts), _CONTENTS, _keys(facts), _FIRST,
        _COMMANDS.format(bench=first, fingerprint=facts.fingerprint, namespace=NAMESPACE),
        chains, _PHOTOS.format(number=last), _OLDER_PACK.format(number=last + 1),
        _report(facts.certificate, last + 2),
        _FORKS.format(number=last + 3) if facts.has_forks else "",
        _left_out(facts.left_out), _SHOWS, _TABLE, columns_text(),
    ))  # fmt: skip


def _head(facts: Facts) -> str:
    title = f"How to check this pack: job {one_line(facts.job)}"
    shop = f", by {one_line(facts.shop)}" if facts.shop.strip() else ""
    return f"{title}\n{'=' * len(title)}\n\nMade {facts.at}{shop}.\n"


def _keys(facts: Facts) -> str:
    older = ""
    if facts.older_keys:
        names = "".join(f"  {each}\n" for each in facts.older_keys)
        older = (
            f"\nEarlier checkpoints in it are signed with\n\n{names}\n"
            "by this bench before, or by another whose copy was merged: ask whose each is.\n"
        )
    return (
        f"\nThe key it is signed with has the fingerprint\n\n  {facts.fingerprint}\n{older}{_ASK}"
    )


def _chain(number: int, each: Checkpoint) -> str:
    return _CHAIN.format(
        number=number, bench=each.bench, entries=each.entries, root=each.root, namespace=NAMESPACE
    )


def _report(certificate: str, number: int) -> str:
    if not certificate:
        return ""
    pairs = ":".join(certificate[at : at + 2].upper() for at in range(0, len(certificate), 2))
    half = len(pairs) // 2 + 1
    return _REPORT.format(number=number, first=pairs[:half], second=pairs[half:])


def _left_out(count: int) -> str:
    if not count:
        return "\nNo line was left out of this pack.\n"
    lines = "1 line stays" if count == 1 else f"{count} lines stay"
    return (
        f"\n{lines} at the bench: only the hash is here, in redacted.txt. What a line left out "
        "says\ncannot be known from this pack; that it was there, and where, can. The report is "
        "left out\nthen too, for it would tell. Photos that only such lines name are left out "
        "as well.\n"
    )


_CONTENTS = """
This folder is a copy of the evidence of one engine job, for you to keep. Nothing in it needs the
program that made it. It is a BagIt bag (RFC 8493), so archives know what it is.

  data/report.pdf         the report, to be read by a person; not there if lines were left out
  data/report-certificate.pem  what the signature in report.pdf is checked with
  data/report.html        the same as one page for a browser or a phone; it needs no network
  data/photos/            the photos, byte for byte as they came, each named by its SHA-256
  data/papers/            other attachments, kept the same way; there if one was kept
  data/chains/BENCH/      what was entered, a line each, in order (ledger.jsonl); the SHA-256 of
                          every line (hashes.txt); of those left out (redacted.txt); the number of
                          lines and their root (checkpoint), signed; earlier ones (older/)
  data/forks/             other histories of a bench that a merge found, each from the line where it
                          parts; nothing of them counts; there if there is one
  data/layers/            the marks of each measurement on a photo, as a drawing and as data
  data/readings.csv       every value as a table; its columns are told at the end
  data/check.html         the check of files and signature for a browser, without a terminal
  data/allowed_signers    the public key that the signatures are checked with
  manifest-sha256.txt     the SHA-256 of every file below data/
  tagmanifest-sha256.txt  the SHA-256 of the files beside data/
"""
_ASK = """
THIS IS THE ONE THING THAT THE PACK CANNOT PROVE BY ITSELF: whoever makes a false pack can put
a false key and a false page like this one into it. Ask the shop for the fingerprint in another way:
by telephone, on the invoice, on its door. Compare all of it.
"""
_FIRST = """
Without a terminal
------------------
Open data/check.html in a browser (no network is needed or used) and drop the pack's folder on it.

With a terminal
---------------
On Linux, or any system with bash, coreutils and OpenSSH. Unpack the pack and stand in its folder,
the one that holds bagit.txt. On a Mac, "shasum -a 256" does what "sha256sum" does here.
"""
_COMMANDS = """
1. Who signed it. Expect two answers: Good "{namespace}" signature for {bench} with ED25519 key
   {fingerprint}
   and compare that with the fingerprint that you were told in another way:
     ssh-keygen -Y verify -f data/allowed_signers -I {bench} -n {namespace} \\
       -s tagmanifest-sha256.txt.sig < tagmanifest-sha256.txt
     ssh-keygen -Y verify -f data/allowed_signers -I {bench} -n {namespace} \\
       -s manifest-sha256.txt.sig < manifest-sha256.txt

2. Is every file as it was, and none missing or added. Expect no answer:
     sha256sum --quiet -c tagmanifest-sha256.txt
     sha256sum --quiet -c manifest-sha256.txt
     find data -type f | LC_ALL=C sort | cmp - <(cut -c67- manifest-sha256.txt | LC_ALL=C sort)
     find . -maxdepth 1 ! -name . ! -name data | cut -c3- | LC_ALL=C sort \\
       | cmp - <((cut -c67- tagmanifest-sha256.txt; \\
       printf '%s\\n' tagmanifest-sha256.txt tagmanifest-sha256.txt.sig) | LC_ALL=C sort)
     for s in *.sig; do [ "$(head -n 1 "$s")$(tail -n 1 "$s")" = \\
       "-----BEGIN SSH SIGNATURE----------END SSH SIGNATURE-----" ] \\
       || echo "$s has something round it"; done
"""
_CHAIN = """
{number}. The chain of the bench {bench}. Expect: Good "{namespace}" signature for {bench}, for each
   checkpoint one; the root
   {root}
   and no other answer. "FORK" means that history was rewritten:
     cd data/chains/{bench}
     ssh-keygen -Y verify -f ../../allowed_signers -I {bench} -n {namespace} \\
       -s checkpoint.sig < checkpoint
     printf '%s/%s\\n%s\\n%s\\n' {bench} "$(head -n 1 checkpoint | cut -d/ -f2-)" \\
       "$(wc -l < hashes.txt)" "$(sha256sum < hashes.txt | cut -c1-64)" | cmp - checkpoint
     head -n {entries} hashes.txt | sha256sum
     T=$(mktemp -d); split -l1 -a7 -d ledger.jsonl "$T/"
     find "$T" -type f | sort | xargs sha256sum | cut -c1-64 \\
       | cmp - <(grep -vxFf redacted.txt hashes.txt)
     paste -d ' ' hashes.txt <((printf '%064d\\n' 0; cat hashes.txt) | head -n -1) \\
       | grep -vf <(sed 's/^/^/' redacted.txt) | cut -d ' ' -f2 \\
       | cmp - <(grep -o '"prev":"[0-9a-f]*"' ledger.jsonl | cut -c9-72)
     for c in $(find . -path './older/*' ! -name '*.sig' | sort); do \\
       ssh-keygen -Y verify -f ../../allowed_signers -I {bench} -n {namespace} \\
         -s "$c.sig" < "$c"; \\
       head -n "$(sed -n 2p "$c")" hashes.txt | sha256sum | cut -c1-64 \\
         | cmp - <(sed -n 3p "$c") || echo "FORK: $c"; done
"""
_PHOTOS = """
{number}. Is every photo the one that the lines name. Expect no answer:
     find data/photos data/papers -type f 2>/dev/null | while read -r f; do n=${{f##*/}}; \\
       [ "$(sha256sum < "$f" | cut -c1-64)" = "${{n%%.*}}" ] || echo "$f was changed"; \\
       cat data/chains/*/ledger.jsonl | grep -qF "${{n%%.*}}" || echo "no line names $f"; done
"""
_OLDER_PACK = """
{number}. If you hold an older pack of this job: line 2 of its data/chains/BENCH/checkpoint is a
   number N, line 3 a root. In THIS pack, in the same folder, "head -n N hashes.txt | sha256sum"
   must give that root. If it does not, history was rewritten in between: a FORK.
"""
_REPORT = """
{number}. The report has a signature of its own, for whoever gets the PDF alone (pdfsig is in the
   package poppler-utils). Expect one signature, "Signature is Valid", "Total document signed" and
   an unknown issuer, for the shop made the certificate itself; then, twice, the fingerprint
   {first}
   {second}
   which the report prints too, where it says how to check it. Ask for it in another way, as
   for the key:
     pdfsig data/report.pdf
     T=$(mktemp -d); cp data/report.pdf "$T/"; (cd "$T"; pdfsig -dump report.pdf) > /dev/null
     openssl pkcs7 -inform DER -in "$T/report.pdf.sig0" -print_certs \\
       | openssl x509 -noout -fingerprint -sha256
     openssl x509 -in data/report-certificate.pem -noout -fingerprint -sha256
"""
_FORKS = """
{number}. There are FORKS: a bench had two histories. Each folder in data/forks is named by its
   bench and the start of the SHA-256 of the line where the other begins. Expect no answer:
     for f in data/forks/*/ledger.jsonl; do d=${{f%/*}}; \\
       [ "$(head -n 1 "$f" | sha256sum | cut -c1-16)" = "${{d##*-}}" ] \\
       || echo "$f was changed"; done
"""
_SHOWS = """
What this shows
---------------
That this is, byte for byte, what the holder of that key packed; which lines were entered in which
order; and that nothing was changed, taken out or put in between without a trace since the oldest
checkpoint that somebody else holds.

What this does not show
-----------------------
- The holder of the key can write the whole history anew before a checkpoint leaves the bench. Only
  a copy in your hand, or in another's, limits that: keep this pack, and compare the next with it.
- That a photo is of your engine, or that a reading was read right: for that a person answers.
- When something happened: times are the claims of the computer's and the camera's clock.
- What nobody asked for and nobody entered is not in it.
- Whether the report says what the lines say: these tools cannot compare the two. "benchproof
  verify" sets the report again from the lines and compares byte for byte, if it is of the version
  that bag-info.txt names, and says so if it is not. Where the report and a line disagree, the line
  is the evidence.
- Whether the numbers follow from marks and readings: "benchproof verify" works them out again.
"""
_TABLE = f"""
The columns of data/readings.csv
--------------------------------
The first line names the columns; fields are parted by commas, quoted where they need it (RFC 4180).
Figures have a decimal point.
{POLICY}
"""
