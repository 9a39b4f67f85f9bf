"""Where in a TOML text a key stands, for messages; a guess that is right for plain plan files."""

import re

_HEADER = re.compile(r"\s*(\[\[|\[)\s*([A-Za-z_.]+)\s*(\]\]|\])")


def line_of(text: str, table: str, number: tuple[int, ...], key: str = "") -> int | None:
    """Return the line of a key, or of its table's header; None if it cannot be told.

    ``table`` is the header's name ("location.check"), ``number`` counts from 0: which
    ``location``, then which ``check`` in it; an empty one is the top. The parser itself keeps no
    lines.
    """
    seen: dict[str, int] = {}
    here = not table
    header_line = None
    for count, line in enumerate(text.splitlines(), 1):
        header = _HEADER.match(line)
        if header:
            name = header[2]
            if not table and name == key:
                return count
            if here and table:
                break
            here = False
            seen[name] = seen.get(name, -1) + 1
            for inner in [other for other in seen if other.startswith(f"{name}.")]:
                del seen[inner]
            here = name == table and number == _numbers(seen, name)
            header_line = count if here else header_line
        elif here and key and re.match(rf"\s*\"?{re.escape(key)}\"?\s*=", line):
            return count
    return header_line


def _numbers(seen: dict[str, int], name: str) -> tuple[int, ...]:
    parts = name.split(".")
    return tuple(seen.get(".".join(parts[: n + 1]), 0) for n in range(len(parts)))
