"""Visits pages, sends what was drawn of their forms, and complains where the book does not hold."""

import traceback
from collections import Counter
from random import Random

from django.db import connection, transaction
from django.test import TestCase
from django.urls import Resolver404, resolve

from config.roles import ROLES
from inventory.audit import breaches as stock_breaches
from inventory.models import Candle, Lot
from orders.audit import breaches as order_breaches
from orders.models import Order, Shop
from production.audit import breaches as floor_breaches
from tests.every_page import is_file
from tests.hostile.fuzz_forms import Form, forms_of
from tests.hostile.fuzz_posts import Sent, drawn, other_row
from tests.hostile.fuzz_watch import changed_since, last_change

# A stretch begins in the world as it was made, goes on in what its own posts left, and ends with the audit.
STRETCH = 100
FORMS_OF_A_PAGE = 3
QUESTIONS = 0.5  # of the pages that have some (a filter, a link with a week in it) one is asked
FORGOTTEN = {"sign_out"}
SHOPS_OWN = "/own/"
# A draft keeps what of it can be kept, and says on the refused page which fields it could not.
KEPT_AS_TYPED = {"order_save", "order_paste", "order_fill", "order_confirm"}
DRAFT = {"orders_order", "orders_orderline", "inventory_record"}
# Files are rendered when they are first asked for and kept: for whoever asks, that changes nothing.
KEPT_ON_LOOKING = {"orders_paperfile insert"}


def all_breaches() -> set[str]:
    return {*stock_breaches(), *floor_breaches(), *order_breaches()}


def some_words() -> list[str]:
    """What is written in this book: codes and names that a person would type."""
    return [
        *Candle.objects.values_list("code", flat=True),
        *Lot.objects.values_list("code", flat=True)[:9],
        *map(str, Order.objects.values_list("number", flat=True)),
        *Shop.objects.values_list("name", flat=True),
    ]


class Fuzz:
    """`run(posts)`; then `complaints` says what did not hold, `counted` what was sent and what came of it."""

    def __init__(self, seed: int, addresses: dict[str, str], clients: dict[str, object]):
        self.rng, self.clients = Random(seed), clients
        self.pages = [address for name, address in addresses.items() if not is_file(address) and name != "own_paper"]
        self.words, self.known = some_words(), all_breaches()
        self.complaints: list[str] = []
        # Role and address of pages without a form: a second look would find none either.
        self.bare: set[tuple[str, str]] = set()
        self.ahead: list[str] = []
        self.counted, self.tried = Counter(), Counter()

    def run(self, posts: int) -> None:
        while posts > 0:
            with transaction.atomic():
                self.stretch(min(posts, STRETCH))
                transaction.set_rollback(True)
            posts -= STRETCH

    def stretch(self, posts: int) -> None:
        taken: list[Sent] = []
        while posts > 0:
            role, address = self.next_page()
            # Each form twice: what was sent once may be stale by then, and must not be done again.
            for form in [one for one in self.chosen(role, address) for _ in range(1 + (one.method == "post"))]:
                posts -= form.method == "post"
                sender = role if self.rng.random() < 0.96 else self.rng.choice([*self.clients])
                sent = drawn(self.rng, form, sender, self.words)
                if self.send(sent):
                    taken.append(sent)
        self.counted["audits"] += 1
        try:
            connection.check_constraints()
            wrong = sorted(all_breaches() - self.known)
        except Exception:  # noqa: BLE001 - whatever the audit stumbles over is a fault of the posts before it
            wrong = [traceback.format_exc()]
        if wrong:
            self.complaints.append("\n  ".join(["After these posts:", *map(str, taken), "the audit says:", *wrong]))

    def next_page(self) -> tuple[str, str]:
        """Somebody who works there, and a page: each once before any comes again."""
        while True:
            if not self.ahead:
                self.ahead = self.rng.sample(self.pages, k=len(self.pages))
            address = self.ahead.pop()
            may = [role for role in self.clients if role in getattr(resolve(address).func, "roles", ROLES)]
            role = self.rng.choice(["owner", *may] if may else ["owner", "packer"])
            if address.startswith(SHOPS_OWN):
                role = ""
            if (role, address) not in self.bare:
                return role, address

    def chosen(self, role: str, address: str) -> list[Form]:
        """Forms of the page, those least tried first."""
        if self.rng.random() < 0.05:
            address = other_row(self.rng, address)
        page = Sent("opened", role, "get", address)
        html = self.send(page)
        forms = (
            [form for form in forms_of(html, address) if self.name_of(form.action) not in FORGOTTEN] if html else []
        )
        if not forms:
            self.bare.add((role, address))
        self.rng.shuffle(forms)
        forms.sort(key=lambda form: self.tried[form.method, self.name_of(form.action)])
        asking = [form for form in forms if form.method == "get"][: self.rng.random() < QUESTIONS]
        return [form for form in forms if form.method == "post"][:FORMS_OF_A_PAGE] + asking

    def name_of(self, address: str) -> str:
        try:
            return resolve(address.partition("?")[0].partition("#")[0]).url_name
        except Resolver404:
            return address

    def send(self, sent: Sent) -> str:
        """Send it and hold the answer to the rules; the page that was opened, or where a post led."""
        before = last_change()
        try:
            with TestCase.captureOnCommitCallbacks(execute=True), transaction.atomic():
                answer = self.ask(sent)
        except Exception:  # noqa: BLE001 - this is what is looked for
            self.complain(sent, traceback.format_exc())
            return ""
        if sent.way != "opened":
            self.counted[f"{sent.method} {answer.status_code}"] += 1
            self.tried[sent.method, self.name_of(sent.address)] += 1
        self.judge(sent, answer, changed_since(before))
        if sent.method == "get":
            html = answer.headers.get("Content-Type", "").startswith("text/html")
            return answer.content.decode() if html and answer.status_code == 200 else ""
        return answer.headers.get("Location", "")

    def ask(self, sent: Sent):
        client, headers = self.clients[sent.role], {"Origin": "http://testserver", **sent.headers}
        if sent.method == "get":
            address = (
                f"{sent.address}{'&' if '?' in sent.address else '?'}{sent.query()}" if sent.pairs else sent.address
            )
            answer = client.get(address, headers=headers)
        else:
            kind, body = sent.encoded()
            answer = client.generic("POST", sent.address, body, content_type=kind, headers=headers)
        if answer.streaming:
            for _ in answer:
                pass
        return answer

    def judge(self, sent: Sent, answer, changed: Counter) -> None:
        status, leads_to = answer.status_code, answer.headers.get("Location", "/")
        if status >= 500:
            self.complain(sent, f"answered {status}")
        if not leads_to.startswith("/") or leads_to.startswith(("//", "/\\")):
            self.complain(sent, f"leads to {leads_to}")
        if sent.method == "get" and set(changed) - KEPT_ON_LOOKING:
            self.complain(sent, f"was only looked at, and changed {dict(changed)}")
        kept = {name.partition(" ")[0] for name in changed} <= DRAFT and self.name_of(sent.address) in KEPT_AS_TYPED
        if sent.method == "post" and changed and not kept and (why := refused(answer)):
            self.complain(sent, f"was refused ({why}), and changed {dict(changed)}")
        if sent.role == "" and changed and self.name_of(sent.address) != "sign_in":
            self.complain(sent, f"came from a stranger, and changed {dict(changed)}")

    def complain(self, sent: Sent, what: str) -> None:
        self.complaints.append(f"{sent}\n  {self.name_of(sent.address)}: {what}")


def refused(answer) -> str:
    """Why the answer is a refusal: its number, the same page again, or a message that says so. "" for any other."""
    if answer.status_code >= 400:
        return str(answer.status_code)
    if answer.status_code == 200:
        return "shown again"
    said = getattr(answer.wsgi_request, "_messages", None)
    queued = said._queued_messages if said is not None else ()
    return next((message.message for message in queued if message.level_tag == "error"), "")
