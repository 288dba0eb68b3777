"""The bank's lines and what is proposed for each; nothing here posts."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, Q, QuerySet

from orders.matching import Book, Match, Money, Owed, key_of, match, payer_of
from orders.models import BankFile, BankLine, Invoice, Payment, Shop
from orders.models.payment import CAME_IN
from orders.money import NOUGHT, in_pounds
from orders.queries.debts import OpenPaper, open_papers

WAITING = Q(payment=None, aside="")
# Payers are known by how they wrote before; older than this many payments tells little.
REMEMBERED = 2_000


@dataclass(frozen=True)
class Proposal:
    """What is proposed for one line: `papers` as (paper, amount)."""

    line: BankLine
    match: Match
    shop: Shop | None
    papers: tuple[tuple[OpenPaper, Decimal], ...]

    @property
    def pk(self) -> int:
        return self.line.pk

    @property
    def seen(self) -> str:
        """A digest of the proposal: what was looked at is what is posted."""
        facts = f"{self.match.shop} {self.match.parts} {self.match.on_account} {self.match.prompt}"
        return hashlib.sha256(facts.encode()).hexdigest()[:16]

    @property
    def goes_to(self) -> str:
        """ "294.00 for INV-1001, 6.00 on account"."""
        said = [f"{in_pounds(amount)} for {paper.number}" for paper, amount in self.papers]
        if self.match.on_account:
            said.append(f"{in_pounds(self.match.on_account)} on account")
        return ", ".join(said)


def bank_files() -> QuerySet[BankFile]:
    """Every file with how many of its lines are `waiting`, `posted` and put `aside_lines`."""
    return (
        BankFile.objects.select_related("columns", "read_by")
        .defer("content")
        .annotate(
            waiting=Count("lines", filter=Q(lines__payment=None, lines__aside="")),
            posted=Count("lines", filter=Q(lines__payment__isnull=False)),
            aside_lines=Count("lines", filter=~Q(lines__aside="")),
        )
    )


def lines_waiting() -> QuerySet[BankLine]:
    return BankLine.objects.filter(WAITING)


def book_in(currency: str) -> tuple[Book, dict[str, OpenPaper]]:
    """What a payment in a currency can be matched against. Five queries."""
    papers = {one.key: one for one in open_papers() if one.currency == currency}
    still_open = {one.number for one in papers.values()}
    numbers = Invoice.objects.filter(currency=currency).values_list("paper__number", "shop").order_by("-pk")
    book = Book(
        owed=tuple(owed_of(one) for one in papers.values()),
        settled={key_of(number): (number, shop) for number, shop in numbers if number not in still_open},
        names=dict(Shop.objects.values_list("pk", "name")),
        payers=_payers(),
    )
    return book, papers


def _payers() -> dict[str, int]:
    """Shops by the words they paid with before; words two shops paid with tell nothing."""
    rows = Payment.objects.filter(kind=CAME_IN, taken_back=None).order_by("-pk").values_list("reference", "shop")
    found: dict[str, int | None] = {}
    for reference, shop in rows[:REMEMBERED]:
        words = payer_of(reference)
        found[words] = shop if found.setdefault(words, shop) == shop else None
    return {words: shop for words, shop in found.items() if shop and words}


def owed_of(one: OpenPaper) -> Owed:
    """A paper as matching knows it."""
    return Owed(one.key, one.number, one.shop_id, one.open, one.due_on, one.prompt)


def proposals(lines: Iterable[BankLine]) -> list[Proposal]:
    """For each waiting line what is proposed, in the order given.

    Two lines never count on the same amount: each takes off what the next sees; those that name a
    paper go first, then those that are sure.
    """
    lines = list(lines)
    books = {currency: book_in(currency) for currency in {line.currency for line in lines}}
    money = {line.pk: Money(line.amount, line.on, f"{line.text} {line.reference}") for line in lines}
    alone = {line.pk: match(money[line.pk], books[line.currency][0]) for line in lines}
    left = {currency: book for currency, (book, _) in books.items()}
    found: dict[int, Match] = {}
    for line in sorted(lines, key=lambda line: (not alone[line.pk].named, not alone[line.pk].sure)):
        found[line.pk] = match(money[line.pk], left[line.currency])
        left[line.currency] = _without(left[line.currency], found[line.pk])
    shops = Shop.objects.in_bulk({done.shop for done in found.values()} - {None})
    return [_proposal(line, found[line.pk], shops, books[line.currency][1]) for line in lines]


def _proposal(line: BankLine, done: Match, shops: dict[int, Shop], papers: dict[str, OpenPaper]) -> Proposal:
    return Proposal(line, done, shops.get(done.shop), tuple((papers[key], amount) for key, amount in done.parts))


def _without(book: Book, done: Match) -> Book:
    """The book as it would stand were this posted."""
    taken = dict(done.parts)
    if not taken:
        return book
    owed = []
    for one in book.owed:
        left = NOUGHT if one.key in done.prompt else one.open - taken.get(one.key, NOUGHT)
        if left > 0:
            owed.append(
                Owed(one.key, one.number, one.shop, left, one.due_on, None if one.key in taken else one.prompt)
            )
    return Book(tuple(owed), book.settled, book.names, book.payers)
