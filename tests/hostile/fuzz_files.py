"""Files sent where a file is asked for: small right ones, and such as are none."""

import io
import zipfile
from functools import cache
from random import Random

from openpyxl import Workbook

NAMES = (
    "shops.csv", "stock.xlsx", "order.xlsx", "bank.csv", "slip.pdf", "x", "", "..", "../../book.sqlite3", "a\x00b.csv",
    "C:\\temp\\book.csv", "con", "é.csv", "\u202efdp.csv", "n" * 300 + ".csv", "a\r\nX: y.csv", "shops.csv.exe",
)  # fmt: skip
CSV = (
    b"Name,Town\nThe Lamp,Wexcombe\n",
    b"Code,Pairs\nIV250,12\n",
    b"Date,Description,Reference,Amount\n01/10/2026,THE SLOW LAMP,INV-1003,80.00\n",
    b"Shop,Candle,Pairs,Ship by\nThe Lamp,IV250,6,2026-12-18\n",
)
NONE = (
    b"", b"\x00" * 64, b"\xff\xfe\x00d", b"PK\x03\x04 broken", b"%PDF-1.7 nothing", b"\x89PNG\r\n\x1a\n", b"," * 5000,
    b'"never closed', b"a\n" * 4000, "Name\nmöwe\n".encode("utf-16"), b"Name\n=1+1\n\xed\xa0\xbd", b"<html></html>",
)  # fmt: skip


@cache
def workbook() -> bytes:
    book, kept = Workbook(), io.BytesIO()
    book.active.append(["Name", "Town"])
    book.active.append(["The Lamp", "Wexcombe"])
    book.save(kept)
    return kept.getvalue()


@cache
def other_zip() -> bytes:
    """A zip that is no workbook, with a name that leads out of its folder."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w") as archive:
        archive.writestr("../../etc/passwd", "x")
        archive.writestr("xl/workbook.xml", "<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/passwd'>]><x>&a;</x>")
    return kept.getvalue()


def drawn_file(rng: Random) -> tuple[str, bytes, str]:
    """A name, its bytes, and the kind it claims to be."""
    data = rng.choice((*CSV, *CSV, *NONE, workbook(), workbook(), other_zip()))
    name = rng.choice(NAMES[:5]) if rng.random() < 0.6 else rng.choice(NAMES)
    return (
        name,
        data,
        rng.choice(("text/csv", "application/pdf", "application/octet-stream", "text/html", "x/\x7f", "")),
    )
