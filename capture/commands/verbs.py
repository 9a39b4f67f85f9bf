"""Every verb of the command: its line in the help, in the order of the work.

Each has a module of its name with ``EXAMPLES``, ``configure(parser)`` and ``run(given, edge)``.
"""

VERBS = {
    "demo": "walk an invented job from plan to report, with pictures of known answers",
    "plan": "show the plans of the library, what a plan asks, or what is wrong in one",
    "start": "begin a book for one job from plans",
    "change": "change a book's plan at the bench: locations, checks, hold points, parts",
    "limit": "give a limit with its source, or list those still to be given",
    "photo": "file photos at a location",
    "reading": "file a typed reading and judge it",
    "coverage": "measure on a photo how much of an oil hole is covered",
    "measure": "measure holes and distances on a photo with a printed target",
    "sizes": "say which standard sizes a measured diameter may be",
    "fits": "compare a part with its bore before the hammer",
    "round": "show where every check and hold point stands",
    "strike": "strike a wrong entry: it stays legible and no longer counts",
    "close": "close a hold point, if everything it hides is proven or waived in writing",
    "report": "write the customer's report as a PDF",
    "verify": "check that nothing in a book was altered, and measure again",
}

EXIT_CODES = """exit codes:
  0  done (and within, if one thing was judged)
  2  used wrongly
  3  could not read or measure
  4  too close to call
  5  judged outside
  6  hold point refused
  7  evidence altered
  8  could not write (busy, full, read-only, network folder)
  70 our bug
  130 stopped by hand (Ctrl-C)"""
