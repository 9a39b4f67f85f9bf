"""Every verb of the command: its line in the help, in the order of the work.

Each has a module of its name with ``EXAMPLES``, ``configure(parser)`` and ``run(given, edge)``.
"""

GROUPS = {
    "a first look": {
        "desk": "open the window at the bench",
        "demo": "walk an invented job from plan to report",
    },
    "the job and its plan": {
        "plan": "show the library's plans, what a plan asks, what is wrong in one",
        "start": "begin a book for one job from plans",
        "change": "change a book's plan at the bench: locations, checks, parts",
        "limit": "give a limit with its source, or list those still to be given",
        "owner": "keep what passed with the owner: instructions, advice declined",
        "gauge": "list the gauges, enter one, or say that one may have been wrong",
        "kit": "list the kit, or say how many pieces a line really holds",
    },
    "at the block": {
        "round": "show where every check and hold point stands",
        "check": "show everything that is known of one check",
        "sheet": "print a blank build sheet, to be filled in by hand and entered later",
        "tags": "print a tag for each location, to file its photos by",
        "photo": "file photos at a location or a hold point",
        "map": "place locations on an overall photo, and see which lie close",
        "plug": "count plugs out and in, and show the plug map",
        "debris": "log how a gallery was cleaned, and whether it is clean",
        "reading": "file typed readings and judge them",
        "coverage": "measure on a photo how much of an oil hole is covered",
        "part": "list the parts, or say which piece went on",
        "rework": "say what was worked on, so that it is read again",
        "strike": "strike a wrong entry: it stays legible and no longer counts",
        "close": "close a hold point, if all it hides is proven or waived",
        "reopen": "open a closed hold point again, and those that hide it",
    },
    "without a book": {
        "card": "print a scale card, and learn how large a print of it really is",
        "measure": "measure holes and distances on a photo with a printed target",
        "lens": "measure a camera's lens on photos of a chessboard, for sharper numbers",
        "sizes": "say which standard sizes a measured diameter may be",
        "fits": "compare a part with its bore before the hammer",
    },
    "what is shown to others": {
        "budget": "show what makes a value uncertain, line by line",
        "paper": "keep a machine shop's sheet, a manual's page, a letter",
        "report": "write the customer's report as a PDF",
        "key": "show the fingerprints of this bench's keys, copy the keys, use others",
        "pack": "write a signed copy of a book to hand over, checkable without this program",
        "export": "write every reading as a table (CSV) or as JSON",
        "verify": "check that a book, a pack or a report was not altered, and measure again",
    },
    "many jobs": {
        "shop": "search the books of all jobs, and plot one check over them",
        "index": "write a book's look-up tables for any SQLite tool",
    },
    "copies of a book": {
        "copy": "copy a book, as a backup or for a second bench",
        "merge": "take in what another bench's copy of the book, or its pack, has more",
    },
}
VERBS = {verb: line for verbs in GROUPS.values() for verb, line in verbs.items()}

EXIT_CODES = """exit codes:
  0  done (and within, if one thing was judged)
  2  used wrongly
  3  could not read or measure
  4  too close to call
  5  judged outside
  6  hold point refused
  7  evidence altered
  8  could not write (busy, full, read-only, network folder)
  9  comes out otherwise than under the version that made it
  70 our bug
  130 stopped by hand (Ctrl-C)"""


def verbs_by_heading() -> str:
    """Return every verb with its line, under the heading of when it is used."""
    wide = max(map(len, VERBS)) + 2
    return "\n\n".join(
        "\n".join([f"  {heading}:", *(f"    {verb:<{wide}}{line}" for verb, line in verbs.items())])
        for heading, verbs in GROUPS.items()
    )
