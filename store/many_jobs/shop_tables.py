"""The tables of the shop's index: one book's, each row with its book, and the books themselves."""

from msgspec import Struct

from store.round import Round
from store.told.suspicion import touched_by
from store.told.telling import Telling
from store.ways_out.listing import Column, Row, check_rows, reading_rows
from store.ways_out.tables import CHECK_TABLE, GAUGE_TABLE, READING_TABLE, Table, gauge_rows

_OF_BOOK = '"book" INTEGER NOT NULL REFERENCES books(id)'
_ID = '"id" INTEGER PRIMARY KEY'
BOOK_COLUMNS = (
    Column("path", "text", "the book's folder"),
    Column("problem", "text", "why nothing of it is here; empty if it was read"),
    Column("job", "text", "the shop's number of the job"),
    Column("engine", "text", "what is rebuilt"),
    Column("engine_number", "text", "its own number"),
    Column("customer", "text", "for whom"),
    Column("shop", "text", "by whom"),
    Column("started", "text", "when the book was begun, by the computer's clock"),
    Column("last", "text", "when its last entry was made"),
    Column("entries", "whole", "how many lines its ledger has"),
    Column("within", "whole", "how many checks are within"),
    Column("outside", "whole", "how many are outside"),
    Column("too_close", "whole", "how many are too close to call"),
    Column("not_measured", "whole", "how many are not measured"),
    Column("no_limit", "whole", "how many have a value and no limit"),
)
_KNOWN_BY = (
    Column("first", "text", "hash of its first entry: copies of one book share it"),
    Column("stamp", "text", "what the ledger's file looked like when it was read"),
    Column("fingerprint", "text", "SHA-256 of the ledger and the names of photos and papers"),
)
BOOKS = Table("books", "one book", (*BOOK_COLUMNS, *_KNOWN_BY))
TOUCHED = Table(
    "touched",
    "one entry that rests on one gauge",
    (
        Column("gauge", "text", "the gauge's name in the job"),
        Column("entry", "text", "hash of the entry: a reading, or what was worked out from it"),
    ),
)
OF_A_BOOK = (CHECK_TABLE, READING_TABLE, GAUGE_TABLE, TOUCHED)
SCHEMA = (
    'CREATE TABLE "about" ("name" TEXT, "says" TEXT) STRICT',
    BOOKS.ddl(_ID),
    CHECK_TABLE.ddl(_ID, _OF_BOOK),
    *(table.ddl(_OF_BOOK) for table in OF_A_BOOK[1:]),
    *(f'CREATE INDEX {table.name}_of_book ON "{table.name}" (book)' for table in OF_A_BOOK),
    "CREATE UNIQUE INDEX books_by_path ON books (path)",
    "CREATE INDEX touched_by_entry ON touched (entry)",
    "CREATE INDEX checks_by_key ON checks (key)",
    # One row for each check, its rowid that of the check: whole words, in any letters' case.
    "CREATE VIRTUAL TABLE words USING fts5 (said)",
)


class Found(Struct, frozen=True):
    """What there is to be found of one book: its own row, and its rows by the table's name.

    ``words`` are the words that each check is found by, in the order of the checks.
    """

    book: Row
    rows: dict[str, list[Row]]
    words: list[str]


def found_in(known: Round, told: Telling) -> Found:
    """Return the rows of one book."""
    checks, readings = list(check_rows(known)), list(reading_rows(known))
    job, tally = known.job, known.tally()
    words = {str(check["key"]): _words(check, job.number, job.engine, job.customer, job.shop,
                                       job.engine_number) for check in checks}  # fmt: skip
    for reading in readings:
        words[str(reading["key"])] += " ".join(
            ("", *(str(reading[name]) for name in ("text", "struck", "void", "gauge", "by")))
        )
    return Found(
        {
            "problem": "",
            "job": job.number,
            "engine": job.engine,
            "engine_number": job.engine_number,
            "customer": job.customer,
            "shop": job.shop,
            "started": known.started.at,
            "last": known.last.at,
            "entries": known.entries,
            "within": tally["within"],
            "outside": tally["outside"],
            "too_close": tally["too close to call"],
            "not_measured": tally["not measured"],
            "no_limit": tally["no limit"],
            "first": known.started.entry,
        },
        {
            CHECK_TABLE.name: checks,
            READING_TABLE.name: readings,
            GAUGE_TABLE.name: gauge_rows(known),
            TOUCHED.name: [
                {"gauge": state.gauge.id, "entry": touched.hash}
                for state in known.gauges
                for touched in touched_by(told, state.gauge.id)
            ],
        },
        list(words.values()),
    )


def _words(check: Row, *of_job: str) -> str:
    own = ("key", "location", "check", "kind", "state", "why", "limit", "unit")
    return " ".join((*(str(check[name]) for name in own), *of_job))
