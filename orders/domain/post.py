"""The post: letters are written in the transaction of what they tell of, and sent after its commit, once each.

A letter is claimed by one conditional update before the mail server is spoken to. Whoever loses the claim does
nothing; a process killed while it sends leaves the letter `sending`, and that is sent again only when a person asks.
"""

import smtplib
from collections.abc import Callable, Iterable
from email.utils import formataddr
from functools import partial

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import Workshop
from orders.domain.papers import PaperNotRendered, paper_pdf
from orders.domain.shop_links import address_of
from orders.models import KeptFile, Letter, Paper, Shop, ShopLink
from orders.models.post import DROPPED, FAILED, FOLDER, SENDING, SENT, SERVER, WAITING

MOST_ADDRESSES = 5
MOST_BODY = 20_000
LINK = "[the address of your order's page]"  # stands in a letter that has a `link` until it is sent


class NotSent(Exception):
    """Why a letter could not go, in words for the page."""


@transaction.atomic
def write_letter(
    *,
    key: str,
    kind: str,
    shop: Shop,
    to: str,
    subject: str,
    body: str,
    papers: Iterable[Paper] = (),
    files: Iterable[KeptFile] = (),
    link: ShopLink | None = None,
    send: Callable[[int], object] | None = None,
    by,
) -> Letter:
    """Write a letter to a shop; it goes when the caller's transaction commits, its papers along as stored PDFs and its
    files as they are kept.

    `to` is one address or several with commas between. The same `key` written twice is one letter, as it was first
    written. `send`: who takes it, by key, after the commit; None: it is sent at once. ValidationError by field for no
    or a wrong address, and for a subject that would forge a header.
    """
    letter, new = Letter.objects.get_or_create(
        key=key,
        defaults={
            "kind": kind,
            "shop": shop,
            "to": checked_addresses(to),
            "subject": _checked_subject(subject),
            "body": _checked_body(body),
            "link": link,
            "written_at": timezone.now(),
            "written_by": by,
        },
    )
    if new:
        letter.papers.set(papers)
        letter.files.set(files)
        record(subject="shop", subject_id=shop.pk, what=f"Letter written to {letter.to}: {letter.subject}", by=by)
        _send_after_commit(letter, send)
    return letter


def checked_addresses(typed: str) -> str:
    """E-mail addresses, each checked, with commas between. ValidationError for `to`."""
    addresses = [part.strip() for part in typed.replace(";", ",").split(",") if part.strip()]
    if not addresses:
        raise ValidationError({"to": "To whom? Give an e-mail address."})
    if len(addresses) > MOST_ADDRESSES:
        raise ValidationError({"to": f"At most {MOST_ADDRESSES} addresses, with commas between them."})
    for address in addresses:
        try:
            validate_email(address)
        except ValidationError:
            raise ValidationError({"to": f"“{address[:80]}” is not an e-mail address."}) from None
    return _fitting(", ".join(addresses), 400, "to")


def _checked_subject(subject: str) -> str:
    # A line break would begin a header of its own.
    if any(not sign.isprintable() for sign in subject):
        raise ValidationError({"subject": "A subject is one line of plain text."})
    if not subject.strip():
        raise ValidationError({"subject": "Say what the letter is about."})
    return _fitting(subject.strip(), 160, "subject")


def _checked_body(body: str) -> str:
    if "\x00" in body or not body.strip():
        raise ValidationError({"body": "Write the letter as plain text."})
    return _fitting(body, MOST_BODY, "body")


def _fitting(text: str, most: int, field: str) -> str:
    if len(text) > most:
        raise ValidationError({field: f"At most {most:,} signs."})
    return text


def _send_after_commit(letter: Letter, send: Callable[[int], object] | None = None) -> None:
    # Robust: what the post does never turns a finished act into an error page.
    transaction.on_commit(partial(send or send_letter, letter.pk), robust=True)


def send_letter(pk: int) -> bool:
    """Send one waiting letter, outside any transaction; True when it went. A failure is kept with its reason."""
    claimed = Letter.objects.filter(pk=pk, state=WAITING).update(
        state=SENDING, claimed_at=timezone.now(), tries=F("tries") + 1, error=""
    )
    if not claimed:
        return False
    letter = Letter.objects.select_related("shop", "link").get(pk=pk)
    own = Letter.objects.filter(pk=pk, state=SENDING, tries=letter.tries)
    try:
        _hand_over(letter)
    except Exception as error:  # noqa: BLE001 - whatever the post refuses for, the letter must not be lost
        own.update(state=FAILED, error=_why(error)[:300])
        return False
    own.update(state=SENT, sent_at=timezone.now(), went_to=SERVER if settings.MAIL_SERVER else FOLDER)
    return True


def send_waiting() -> int:
    """Send what a crash left between commit and sending; how many went. For the start of a server."""
    waiting = list(Letter.objects.filter(state=WAITING).order_by("pk").values_list("pk", flat=True))
    return sum(send_letter(pk) for pk in waiting)


def _hand_over(letter: Letter) -> None:
    workshop = Workshop.objects.first()
    own = workshop.email if workshop else ""
    sender = settings.MAIL_FROM or own
    if not sender:
        raise NotSent("The workshop has no e-mail address to write from: give it one in Set-up.")
    message = EmailMessage(
        subject=letter.subject,
        body=letter.body.replace(LINK, address_of(letter.link)) if letter.link_id else letter.body,
        from_email=formataddr((workshop.name if workshop else "", sender)),
        to=letter.to.split(", "),
        reply_to=[own] if own and own != sender else None,
        # The same letter sent twice carries the same name, by which a mail program knows it again.
        headers={
            "Message-ID": f"<letter-{letter.pk}.{int(letter.written_at.timestamp())}@{sender.rpartition('@')[2]}>"
        },
    )
    for paper in letter.papers.order_by("pk"):
        message.attach(f"{paper.number.replace('/', '-')}.pdf", paper_pdf(paper), "application/pdf")
    for file in letter.files.order_by("pk"):
        message.attach(file.name, bytes(file.content), file.media_type)
    if not message.send():
        raise NotSent("The mail server took no address.")


# The first that fits; what has words of its own keeps them.
REASONS = (
    (smtplib.SMTPRecipientsRefused, "The mail server refuses the address."),
    (smtplib.SMTPAuthenticationError, "The mail server refuses our name or password."),
    (smtplib.SMTPServerDisconnected, "The mail server broke off. It may have taken the letter all the same."),
    (TimeoutError, "The mail server did not answer in time."),
    (smtplib.SMTPException, "The mail server refuses: {}"),
    (OSError, "The mail server cannot be reached: {}"),
)


def _why(error: Exception) -> str:
    if isinstance(error, NotSent | PaperNotRendered):
        return str(error)
    words = next((words for kind, words in REASONS if isinstance(error, kind)), type(error).__name__ + ": {}")
    return words.format(getattr(error, "strerror", None) or error)


@transaction.atomic
def send_again(*, letter: Letter, tries: int, by) -> Letter:
    """Send a letter that failed, or whose sending never came to an end. `tries` is what the asker saw: a second ask
    of the same page does nothing. ValidationError for a letter that went, or that is going just now.
    """
    _ask(letter, tries, WAITING, "sent again")
    record(subject="shop", subject_id=letter.shop_id, what=f"Letter to be sent again: {letter.subject}", by=by)
    _send_after_commit(letter)
    return Letter.objects.get(pk=letter.pk)


@transaction.atomic
def drop_letter(*, letter: Letter, tries: int, by) -> Letter:
    """Put a letter away unsent: it stays in the book as dropped. Refusals as for send_again."""
    _ask(letter, tries, DROPPED, "dropped")
    record(subject="shop", subject_id=letter.shop_id, what=f"Letter dropped: {letter.subject}", by=by)
    return Letter.objects.get(pk=letter.pk)


def _ask(letter: Letter, tries: int, state: str, done: str) -> None:
    changed = Letter.objects.stranded().filter(pk=letter.pk, tries=tries).update(state=state)
    if not changed:
        now = Letter.objects.get(pk=letter.pk)
        raise ValidationError(f"Not {done}: the letter is {now.state} by now.")
