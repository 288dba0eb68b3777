"""No text of the book writes into the head of a letter or sends it to somebody else."""

from email import message_from_bytes, policy

import pytest
from django.core import mail

from inventory.models import Workshop
from orders.domain.post import send_letter, write_letter
from orders.models import KeptFile, Letter, Shop
from tests.factories import make_person, make_shop, make_workshop

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # a letter's head is no business of the database
TO = "orders@lamproom.example"
NAMES = [
    "Tallow\r\nBcc: thief@elsewhere.example", "Tallow\nBcc: thief@elsewhere.example\n\nBody", "Tallow\rX: y",
    '"Tallow" <thief@elsewhere.example>,', "Tallow, thief@elsewhere.example", "Tallow (thief)", "Kerzen Größe ✶",
    "=?utf-8?q?x?=", "<script>alert(1)</script>", "T" * 80,
]  # fmt: skip


def letter(**changes) -> Letter:
    values = {"key": "t/1", "kind": "letter", "shop": make_shop(), "to": TO, "subject": "S", "body": "B", **changes}
    return write_letter(**values, by=make_person())


def sent(kept: Letter):
    """The letter as the mail server would get it, parsed; None where it did not go and says why."""
    went = send_letter(kept.pk)
    kept.refresh_from_db()
    assert went == (not kept.error)
    if not went:
        assert not mail.outbox
        return None
    (message,) = mail.outbox
    assert message.recipients() == [TO]
    parsed = message_from_bytes(message.message().as_bytes(), policy=policy.default)
    assert {name.lower() for name in parsed} <= {
        "content-type", "content-transfer-encoding", "mime-version", "subject", "from", "to", "date", "message-id",
    }  # fmt: skip
    return parsed


@pytest.mark.parametrize("name", NAMES)
def test_the_workshops_name_forges_no_head(name):
    make_workshop()
    Workshop.objects.update(name=name[:80])
    parsed = sent(letter())
    if parsed:
        assert [address.addr_spec for address in parsed["From"].addresses] == ["hello@tallowlane.example"]
        assert [address.addr_spec for address in parsed["To"].addresses] == [TO]
    else:
        assert not name.isprintable()


@pytest.mark.parametrize("name", NAMES)
def test_the_name_of_a_file_forges_no_head(name):
    make_workshop()
    kept = KeptFile.objects.create(
        name=name, media_type="text/html", content=b"x", sha256="0", kept_at="2026-11-29T12:00:00Z"
    )
    parsed = sent(letter(files=[kept]))
    if parsed:
        (part,) = parsed.iter_attachments()
        assert part.get_content_disposition() == "attachment"
        assert {head.lower() for head in part} <= {
            "content-type", "content-transfer-encoding", "content-disposition", "mime-version"
        }  # fmt: skip


def test_what_a_letter_says_stays_in_its_body():
    make_workshop()
    body = "Bcc: thief@elsewhere.example\r\n\r\n.\r\nQUIT\r\nFrom here on\n.\n<script>alert(1)</script>"
    parsed = sent(letter(body=body))
    assert parsed.get_content_type() == "text/plain"
    assert parsed.get_content().splitlines() == body.splitlines()
    assert Shop.objects.count() == 1
