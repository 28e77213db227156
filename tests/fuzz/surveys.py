"""Mutations of a survey folder: cells, rows, columns, quotes, encodings, files, the zip around them."""

import csv
import io
import random
import zipfile
from collections.abc import Callable
from typing import Final

from tests.fuzz.hostile import TEXTS

Files = dict[str, bytes]
Table = list[list[str]]
SIGNS: Final = [
    b'"',
    b"'",
    b",",
    b";",
    b"\n",
    b"\r",
    b"\x00",
    b"\t",
    b"\xff",
    b"\xc3",
    b"\xef\xbb\xbf",
    b"=",
    b"\xed\xa0\x80",
]
ENCODINGS: Final = ("utf-8-sig", "utf-16", "utf-16-le", "utf-32", "latin-1", "cp1252", "utf-7", "cp037")


def mutated(files: Files, rng: random.Random) -> Files:
    """Return a part of a folder with one to three things wrong, most of the time."""
    names = rng.sample(sorted(files), rng.randint(1, 3))
    sent = {name: files[name] for name in names}
    for name in names:
        if rng.random() < 0.85:
            sent[name] = rng.choice(OF_BYTES if rng.random() < 0.3 else OF_TABLES)(sent[name], rng)
    return rng.choice(OF_FILES)(sent, files, rng) if rng.random() < 0.15 else sent


def renamed(files: Files, word: str) -> Files:
    """Return the folder as that of another site and client, so that all of it is new to the register."""
    return {name: _renamed(content, word) for name, content in files.items()}


def _renamed(content: bytes, word: str) -> bytes:
    (header, *rows) = _read(content)
    own = [place for place, name in enumerate(header) if name in {"site", "client"}]
    for row in rows:
        for place in own:
            row[place] += word
        for place in (each for each, name in enumerate(header) if name == "serial" and row[each]):
            row[place] += word
    return _written([header, *rows])


def _read(content: bytes) -> Table:
    return [row for row in csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")) if row] or [[""]]


def _written(table: Table, **dialect: str) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, **({"lineterminator": "\n"} | dialect)).writerows(table)  # type: ignore[arg-type]
    return out.getvalue().encode("utf-8", "surrogatepass")


def _table(change: Callable[[Table, random.Random], None]) -> Callable[[bytes, random.Random], bytes]:
    def changed(content: bytes, rng: random.Random) -> bytes:
        table = _read(content)
        change(table, rng)
        return _written(table)

    return changed


def _cell(table: Table, rng: random.Random) -> tuple[list[str], int]:
    row = rng.choice(table[1:] or table)
    return row, rng.randrange(len(row)) if row else 0


def hostile_cell(table: Table, rng: random.Random) -> None:
    """Put something no cell expects into one."""
    row, place = _cell(table, rng)
    row[place : place + 1] = [rng.choice(TEXTS)]


def typo(table: Table, rng: random.Random) -> None:
    """Drop, double or replace one sign of a cell."""
    row, place = _cell(table, rng)
    text = row[place] or " "
    at = rng.randrange(len(text))
    row[place] = text[:at] + rng.choice(["", text[at] * 2, rng.choice("0159.,-+eE'\"/:TZ \u00a0é")]) + text[at + 1 :]


def other_cell(table: Table, rng: random.Random) -> None:
    """Put another row's value, or another column's, into a cell: keys twice, references to elsewhere."""
    row, place = _cell(table, rng)
    other, there = _cell(table, rng)
    row[place] = other[place if rng.random() < 0.7 and place < len(other) else there]


def empty_cell(table: Table, rng: random.Random) -> None:
    """Empty a cell."""
    row, place = _cell(table, rng)
    row[place] = ""


def shifted_row(table: Table, rng: random.Random) -> None:
    """Add a cell to a row, or take one away."""
    row, place = _cell(table, rng)
    if rng.random() < 0.5:
        row.insert(place, rng.choice(TEXTS))
    else:
        del row[place]


def row_twice(table: Table, rng: random.Random) -> None:
    """Write a row twice, the second time perhaps with another value."""
    row = list(rng.choice(table))
    table.insert(rng.randrange(len(table) + 1), row)
    if rng.random() < 0.5:
        hostile_cell(table, rng)


def rows_gone(table: Table, rng: random.Random) -> None:
    """Leave out some rows, perhaps the heading."""
    begin = rng.randrange(len(table))
    del table[begin : begin + rng.choice([1, 1, 3, 100])]


def rows_mixed(table: Table, rng: random.Random) -> None:
    """Put the rows into another order."""
    rows = table[1:]
    rng.shuffle(rows)
    table[1:] = rows


def column_gone(table: Table, rng: random.Random) -> None:
    """Leave out a column, or move it to the end."""
    place, move = rng.randrange(len(table[0])), rng.random() < 0.5
    for row in table:
        if place < len(row):
            cell = row.pop(place)
            row.extend([cell] if move else [])


def column_name(table: Table, rng: random.Random) -> None:
    """Name a column otherwise, or like another one."""
    place = rng.randrange(len(table[0]))
    table[0][place] = rng.choice([*TEXTS[:20], *table[0], table[0][place].upper(), f" {table[0][place]} "])


def cut_off(content: bytes, rng: random.Random) -> bytes:
    """End too early."""
    return content[: rng.randrange(len(content) + 1)]


def stray_bytes(content: bytes, rng: random.Random) -> bytes:
    """Put signs where none belong, over what is there or between."""
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(content) + 1)
        content = content[:at] + rng.choice(SIGNS) + content[at + rng.choice([0, 1]) :]
    return content


def noise(content: bytes, rng: random.Random) -> bytes:
    """Write random bytes over a stretch."""
    at, length = rng.randrange(len(content) + 1), rng.randint(1, 30)
    return content[:at] + rng.randbytes(length) + content[at + length :]


def encoded(content: bytes, rng: random.Random) -> bytes:
    """Save it in another encoding."""
    return content.decode("utf-8-sig", "replace").encode(rng.choice(ENCODINGS), "replace")


def marks(content: bytes, rng: random.Random) -> bytes:
    """Begin with byte order marks."""
    return b"\xef\xbb\xbf" * rng.randint(1, 2) + content


def line_ends(content: bytes, rng: random.Random) -> bytes:
    """End lines otherwise, or far too often."""
    return content.replace(b"\n", rng.choice([b"\r\n", b"\r", b"\n\n\n", b"\n\r", b"\x0b", b"\x85", b""]))


def dialect(content: bytes, rng: random.Random) -> bytes:
    """Write it as other programs do: other delimiters, all quoted, single quotes."""
    delimiter, quote = rng.choice([(";", '"'), ("\t", '"'), (",", "'"), ("|", '"')])
    return _written(_read(content), delimiter=delimiter, quotechar=quote)


def swapped(sent: Files, files: Files, rng: random.Random) -> Files:
    """Put one file's content under another's name."""
    one, other = rng.sample(sorted(files), 2)
    return sent | {one: files[other]}


def misnamed(sent: Files, files: Files, rng: random.Random) -> Files:
    """Give a file another name."""
    name = rng.choice(sorted(sent))
    content = sent.pop(name)
    return sent | {rng.choice([name.upper(), f" {name}", f"copy of {name}", *TEXTS[:20]]): content}


def nothing_in_it(sent: Files, files: Files, rng: random.Random) -> Files:
    """Send a file of no bytes, of one line end, or none at all."""
    return rng.choice([{}, sent | {rng.choice(sorted(files)): rng.choice([b"", b"\n", b'"', b","])}])


OF_TABLES: Final = [
    *[_table(change) for change in (hostile_cell, hostile_cell, typo, typo, typo, other_cell, other_cell, empty_cell)],
    *[_table(change) for change in (shifted_row, row_twice, rows_gone, rows_mixed, column_gone, column_name)],
]
OF_BYTES: Final = [cut_off, stray_bytes, stray_bytes, noise, encoded, marks, line_ends, dialect]
OF_FILES: Final = [swapped, misnamed, nothing_in_it]


def zipped(files: Files, rng: random.Random) -> bytes:
    """Return a zip of the folder with its structure damaged, or odd but sound."""
    packed = io.BytesIO()
    way = rng.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
    with zipfile.ZipFile(packed, "w", way) as archive:
        for name, content in files.items():
            folder = rng.choice(["", "site/", "../", "/abs/", "a\\b\\", "__MACOSX/._", "."])
            archive.writestr(zipfile.ZipInfo(folder + (name.encode("utf-8", "replace").decode() or "x")), content, way)
    content = packed.getvalue()
    return rng.choice([lambda same, _: same, cut_off, stray_bytes, noise, _flags])(content, rng)


def _flags(content: bytes, rng: random.Random) -> bytes:
    """Change one byte of a local or central header: lengths, flags, methods, sums."""
    marks = [
        at for at in range(len(content) - 4) if content[at : at + 4] in {b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"}
    ]
    at = rng.choice(marks) + rng.randint(4, 29)
    return content[:at] + rng.randbytes(1) + content[at + 1 :]
