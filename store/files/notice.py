"""FORMAT.txt: what a book's folder is and how to check it, in plain words."""

FORMAT_NAME = "FORMAT.txt"

FORMAT_TEXT = """\
Benchproof book, format 2

This folder is the evidence of one engine job. Keep it as it is: nothing in it needs this file,
and nothing in it should be edited by hand.

  ledger.db    the entries, one line of JSON each, in an SQLite database (table "entries")
  photos/      the photos, byte for byte as they came; each is named by its SHA-256
  papers/      other attachments, kept the same way; there once one was kept
  checkpoints/ what left the bench in each pack: number of entries, their root, a signature;
               there once a pack was made
  forks/       another history of one of these benches, as a merge found it; counts for nothing
  bench.txt    there in a copy made for another bench: whose chain is written to here
  heads.txt    after every entry: bench, number, SHA-256 of the entry's line
  index.db     look-up tables made from the ledger; may be deleted at any time
  writer.txt   there only while a program is writing

Every line has these members:
  seq    1, 2, 3 ... in this bench's chain      prev   SHA-256 of the bench's line before
  salt   random, so a line can't be guessed     at     when, as claimed by the bench's clock
  bench  whose chain                            by     who
  kind   what happened                          body   the record; measured values are texts

How to check it without this program, in a COPY of this folder (bash with the usual tools and
sqlite3; BENCH is the bench's name):

1. Write out the chain. Each line is kept with its line feed, so none is added:
     sqlite3 -readonly -newline '' ledger.db \\
       "SELECT line FROM entries WHERE bench='BENCH' ORDER BY seq" > ledger.jsonl

2. Hash every line. Each "prev" must be the hash of the line before it, the first is 64 zeros:
     mkdir T; split -l1 -a7 -d ledger.jsonl T/
     find T -type f | sort | xargs sha256sum | cut -c1-64 > hashes.txt
     grep -o '"prev":"[0-9a-f]*"' ledger.jsonl | cut -c9-72 > prev.txt
     tail -n +2 prev.txt | cmp - <(head -n -1 hashes.txt)

3. Every line of heads.txt must be found again, number and hash:
     grep '^BENCH ' heads.txt | while read b n h; do sed -n "${n}p" hashes.txt | grep -qx $h \\
       || echo "entry $n is not what it was"; done

4. Every photo's and every paper's SHA-256 must be its name:
     find photos papers -type f 2>/dev/null | while read f; do n=$(basename "$f"); \\
       [ "$(sha256sum "$f" | cut -c1-64)" = "${n%%.*}" ] || echo "$f was changed"; done

What this does not show: whoever holds this folder could have written all of it anew. Only copies,
and hashes, that left the bench earlier can rule that out.
"""
