"""Letters: written with what they tell of, sent after the commit, once."""

import smtplib
from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from orders.domain import post
from orders.domain.papers import issue_paper
from orders.domain.post import drop_letter, send_again, send_letter, send_waiting, write_letter
from orders.models import Letter
from tests.factories import make_person, make_shop, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def house():
    make_workshop()


def letter(**fields):
    shop = fields.pop("shop", None) or make_shop()
    values = {
        "key": "statement/1", "kind": "statement", "shop": shop, "to": "till@lamproom.example",
        "subject": "Your statement", "body": "Here it is.", "by": make_person("bookkeeper"), **fields,
    }  # fmt: skip
    return write_letter(**values)


def failing(monkeypatch, error):
    def refuse(self, *args, **kwargs):
        raise error

    monkeypatch.setattr("django.core.mail.EmailMessage.send", refuse)


def test_it_goes_after_the_commit_and_not_before(house, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        written = letter()
        assert (written.state, mail.outbox) == ("waiting", [])
    written.refresh_from_db()
    assert (written.state, written.tries, written.went_to) == ("sent", 1, "folder")
    [sent] = mail.outbox
    assert (sent.to, sent.subject) == (["till@lamproom.example"], "Your statement")
    assert sent.from_email == "Tallow Lane Candles <hello@tallowlane.example>"
    assert sent.extra_headers["Message-ID"].endswith("@tallowlane.example>")


@pytest.mark.django_db(transaction=True)
def test_what_is_rolled_back_writes_no_letter():
    make_workshop()
    with transaction.atomic():
        letter()
        transaction.set_rollback(True)
    assert (Letter.objects.count(), mail.outbox) == (0, [])


def test_the_same_occasion_is_one_letter(house, django_capture_on_commit_callbacks):
    shop = make_shop()
    with django_capture_on_commit_callbacks(execute=True):
        first = letter(shop=shop)
        assert letter(shop=shop, body="Other words.") == first
    assert len(mail.outbox) == 1
    assert Letter.objects.get().body == "Here it is."


def test_papers_go_along_as_their_stored_pdf(house, monkeypatch):
    by, shop = make_person(), make_shop()
    paper = issue_paper(
        kind="packing slip", shop=shop, content={}, issued_on=timezone.localdate(), by=by, number="DN-1/1"
    )
    monkeypatch.setattr(post, "paper_pdf", lambda paper: b"%PDF " + paper.number.encode())
    written = letter(shop=shop, papers=[paper])
    assert send_letter(written.pk)
    assert mail.outbox[0].attachments == [("DN-1-1.pdf", b"%PDF DN-1/1", "application/pdf")]


def test_the_claim_is_had_once(house):
    written = letter()
    assert send_letter(written.pk)
    assert not send_letter(written.pk)
    assert len(mail.outbox) == 1


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (smtplib.SMTPRecipientsRefused({"x@y.example": (550, b"no")}), "refuses the address"),
        (smtplib.SMTPAuthenticationError(535, b"no"), "refuses our name or password"),
        (smtplib.SMTPServerDisconnected("gone"), "may have taken the letter"),
        (TimeoutError(), "did not answer in time"),
        (ConnectionRefusedError(111, "Connection refused"), "cannot be reached: Connection refused"),
        (ValueError("odd"), "ValueError: odd"),
    ],
)
def test_a_failure_is_kept_with_its_reason(house, monkeypatch, error, said):
    failing(monkeypatch, error)
    written = letter()
    assert not send_letter(written.pk)
    written.refresh_from_db()
    assert written.state == "failed"
    assert said in written.error


def test_without_an_address_to_write_from_it_fails_and_says_so():
    make_workshop(email="")
    written = letter()
    assert not send_letter(written.pk)
    assert "no e-mail address to write from" in Letter.objects.get().error


def test_a_failed_letter_is_sent_again_when_asked_once(house, monkeypatch, django_capture_on_commit_callbacks):
    with monkeypatch.context() as patch:
        failing(patch, TimeoutError())
        written = letter()
        send_letter(written.pk)
    by = make_person("bookkeeper")
    with django_capture_on_commit_callbacks(execute=True):
        send_again(letter=written, tries=1, by=by)
        with pytest.raises(ValidationError, match="waiting by now"):
            send_again(letter=written, tries=1, by=by)
    written.refresh_from_db()
    assert (written.state, written.tries, written.error) == ("sent", 2, "")
    assert len(mail.outbox) == 1
    with pytest.raises(ValidationError, match="sent by now"):
        drop_letter(letter=written, tries=2, by=by)


def test_a_letter_broken_off_is_never_sent_again_unasked(house):
    written, by = letter(), make_person("bookkeeper")
    long_ago = timezone.now() - timedelta(hours=1)
    Letter.objects.update(state="sending", tries=1, claimed_at=long_ago)
    assert send_waiting() == 0
    assert mail.outbox == []
    assert list(Letter.objects.stranded()) == [written]
    assert Letter.objects.get().stranded
    drop_letter(letter=written, tries=1, by=by)
    assert Letter.objects.get().state == "dropped"


def test_a_letter_just_being_sent_is_left_alone(house):
    written = letter()
    Letter.objects.update(state="sending", tries=1, claimed_at=timezone.now())
    assert not Letter.objects.stranded().exists()
    with pytest.raises(ValidationError, match="sending by now"):
        send_again(letter=written, tries=1, by=make_person())


def test_what_a_crash_left_waiting_goes_at_the_next_start(house):
    letter()
    letter(key="statement/2")
    assert send_waiting() == 2
    assert send_waiting() == 0
    assert len(mail.outbox) == 2


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("to", ""), ("to", "nobody"), ("to", "a@b.example\nBcc: c@d.example"), ("to", "a@b.example," * 6),
        ("to", "a@b.example\x00"),
        ("subject", ""), ("subject", "Hello\r\nBcc: c@d.example"), ("subject", "x" * 161), ("subject", "a\x00"),
        ("body", " "), ("body", "a\x00"), ("body", "x" * 20_001),
    ],
)  # fmt: skip
def test_what_would_forge_a_header_or_burst_the_book_is_refused(house, field, value):
    with pytest.raises(ValidationError) as refused:
        letter(**{field: value})
    assert list(refused.value.message_dict) == [field]
    assert not Letter.objects.exists()
