"""Draws what is sent: a page's own form filled in rightly, or bent in one place or in all."""

import re
from dataclasses import dataclass, field
from random import Random
from urllib.parse import quote_plus

from tests.hostile.fuzz_files import drawn_file
from tests.hostile.fuzz_forms import Form
from tests.hostile.fuzz_values import BROKEN_BYTES, right, wrong

WAYS = (
    "right",
    "right",
    "right",
    "right",
    "one wrong",
    "one wrong",
    "one wrong",
    "all wrong",
    "untouched",
    "bent",
    "raw",
)
# Some deliveries of the tests' world were sent by a factory that writes nothing on their slips.
BARE = "/deliveries/"
OTHER_DAYS = ("2026-02-30", "9999-12-31", "0001-01-01", "today", "2026-1-1")
OTHER_NUMBERS = ("0", "1", "2", "3", "4", "7", "99", str(2**31), str(2**63), "9" * 30)
RAW = (
    ("application/x-www-form-urlencoded", b"%"), ("application/x-www-form-urlencoded", b"\xff\x00=\xfe&&&=;"),
    ("application/x-www-form-urlencoded", b"&".join(b"a%d=1" % n for n in range(6000))),
    ("application/json", b'{"pairs": 1}'), ("text/plain", b"pairs=1"), ("", b""), ("multipart/form-data", b"--x\r\n"),
    ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data; name=\"pairs\"\r\n\r\n1"),
    ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data; filename=\"a\"\r\n\r\n\x00\r\n--x--"),
    ("multipart/form-data; boundary=\x7f", b"--x--"), ("application/x-www-form-urlencoded; charset=utf-7", b"a=+AAA-"),
    ("multipart/form-data; boundary=x; charset=rot13", b"--x--\r\n"), ("text/plain; charset=raw_unicode_escape", b""),
)  # fmt: skip


@dataclass
class Sent:
    """One request, as it can be sent again."""

    way: str
    role: str
    method: str
    address: str
    pairs: list[tuple[str, str]] = field(default_factory=list)
    files: list[tuple[str, str, bytes, str]] = field(default_factory=list)
    parts: bool = False
    raw: tuple[str, bytes] | None = None
    headers: dict[str, str] = field(default_factory=dict)

    def encoded(self) -> tuple[str, bytes]:
        """Content type and body."""
        if self.raw:
            return self.raw
        if not (self.parts or self.files):
            return "application/x-www-form-urlencoded", self.query().encode()
        lines = []
        for name, value in self.pairs:
            lines += [_head(name), b"", _bytes(value)]
        for name, title, data, kind in self.files:
            lines += [_head(name, title) + b"\r\nContent-Type: " + _bytes(kind), b"", data]
        body = b"".join(b"--lamp\r\n" + b"\r\n".join(lines[at : at + 3]) + b"\r\n" for at in range(0, len(lines), 3))
        return "multipart/form-data; boundary=lamp", body + b"--lamp--\r\n"

    def query(self) -> str:
        # What is percent-encoded already is sent as it stands: these are the bytes no text has.
        return "&".join(
            f"{quote_plus(_bytes(name))}={value if value in BROKEN_BYTES else quote_plus(_bytes(value))}"
            for name, value in self.pairs
        )

    def __str__(self):
        pairs = [(name, value if len(value) < 60 else f"{value[:20]}… {len(value)}") for name, value in self.pairs]
        files = [(name, title[:40], data[:30]) for name, title, data, _ in self.files]
        sent = ascii(self.raw or pairs + files)
        return f"{self.role} {self.method} {self.address} ({self.way}) {sent[:1500]} {self.headers or ''}"


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


def _head(name: str, title: str | None = None) -> bytes:
    said = b'Content-Disposition: form-data; name="' + _bytes(name).replace(b'"', b"%22") + b'"'
    return said if title is None else said + b'; filename="' + _bytes(title).replace(b'"', b"%22") + b'"'


def drawn(rng: Random, form: Form, role: str, words: list[str]) -> Sent:
    """What is sent of this form: fields, button, files, and now and then another row's address."""
    way = rng.choice(WAYS)
    name, value, _ = rng.choice(form.buttons) if form.buttons else ("", "", "")
    sent = Sent(way, role, form.method, form.action, parts=form.parts)
    odd = rng.randrange(len(form.fields)) if form.fields else None
    for at, control in enumerate(form.fields):
        bad = way == "all wrong" or (way == "one wrong" and at == odd)
        if control.kind == "file":
            # A right browser sends an empty part where no file was chosen.
            sent.files.append((control.name, *(drawn_file(rng) if rng.random() < 0.85 else ("", b"", ""))))
            continue
        values = control.untouched if way == "untouched" else (wrong if bad else right)(rng, control, words)
        sent.pairs += [(control.name, one) for one in values]
    if name:
        sent.pairs.append((name, value))
    if way == "bent":
        bend(rng, sent)
    if way == "raw" and sent.method == "post":
        sent.raw = rng.choice(RAW)
    if rng.random() < 0.12:
        sent.headers = rng.choice(({"HX-Request": "true"}, {"X-Draft": "1"}, {"Accept": "application/json"}))
    return sent


def bend(rng: Random, sent: Sent) -> None:
    """What no page sends: a field less, twice, of another name, as a file, in another order, to another row."""
    how = rng.randrange(7)
    at = rng.randrange(len(sent.pairs)) if sent.pairs else None
    if how == 0 and sent.pairs:
        del sent.pairs[at]
    elif how == 1 and sent.pairs:
        sent.pairs.append(rng.choice(sent.pairs))
    elif how == 2 and sent.pairs:
        name, value = sent.pairs[at]
        sent.pairs[at] = (rng.choice((f"{name}-9", f"{name}[]", "id", "next", "kept", "version", "")), value)
    elif how == 3 and sent.pairs:
        sent.files.append((sent.pairs[at][0], *drawn_file(rng)))
        del sent.pairs[at]
    elif how == 4 and sent.pairs:
        name, _ = sent.pairs[at]
        sent.pairs[at] = (name, rng.choice(BROKEN_BYTES))
    elif how == 5:
        rng.shuffle(sent.pairs)
        sent.pairs += [("next", "//lamp.example/"), ("more", "1"), ("over", "1")]
    else:
        sent.address = other_row(rng, sent.address)


def other_row(rng: Random, address: str) -> str:
    """The same address with another day or number in it."""
    if address.startswith(BARE):
        return address
    other = re.sub(r"(?<=/)\d{4}-\d\d(-\d\d)?(?=/|$)", lambda _: rng.choice(OTHER_DAYS), address, count=1)
    if other != address:
        return other
    return re.sub(r"(?<=/)\d+(?=/|$)", lambda _: rng.choice(OTHER_NUMBERS), address, count=1)
