"""What is open of invoices and late charges, what lies on account, and so who owes what since when."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import DecimalField, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce, Round

from orders.aged import Aged, aged, next_step
from orders.models import (
    CreditNote,
    Invoice,
    LateCharge,
    Paper,
    Payment,
    PaymentPart,
    PromptTaken,
    Shop,
)
from orders.models.invoice import DEPOSIT
from orders.models.paper import REMINDER
from orders.models.payment import CAME_IN
from orders.money import NOUGHT

AMOUNT = DecimalField(max_digits=12, decimal_places=2)
PENCE = Decimal("0.01")


def summed(rows: QuerySet, amount: str, by: str):
    """Of each outer row the sum of `amount` over the rows that point at it with `by`; nought where none do."""
    sums = rows.filter(**{by: OuterRef("pk")}).order_by().values(by).annotate(total=in_pence(Sum(amount)))
    return Coalesce(Subquery(sums.values("total")), Value(0), output_field=AMOUNT)


def in_pence(expression):
    """A sum of money as it is compared with another: SQLite adds money as binary fractions."""
    return Round(expression, precision=2, output_field=AMOUNT)


# Put together once: Django takes longer over these sums than the database over a shop's rows.
INVOICES = Invoice.objects.annotate(
    credited=summed(CreditNote.objects, "gross", "invoice"),
    paid=summed(PaymentPart.objects, "amount", "invoice"),
    prompt=summed(PromptTaken.objects, "gross", "invoice"),
).annotate(open=in_pence(F("gross") - F("credited") - F("paid") - F("prompt")))
CHARGES = (
    LateCharge.objects.filter(waiver=None)
    .annotate(paid=summed(PaymentPart.objects, "amount", "late_charge"))
    .annotate(open=in_pence(F("amount") - F("paid")))
)
PAYMENTS = (
    Payment.objects.filter(kind=CAME_IN, taken_back=None)
    .annotate(used=summed(PaymentPart.objects, "amount", "payment"))
    .annotate(left=in_pence(F("amount") - F("used")))
)


def invoices_with_open() -> QuerySet[Invoice]:
    """Every invoice with `credited`, `paid`, `prompt` (discount taken) and `open` in its own currency."""
    return INVOICES.all()


def charges_with_open() -> QuerySet[LateCharge]:
    """Every late charge not let go, with `paid` and `open`."""
    return CHARGES.all()


def payments_with_left() -> QuerySet[Payment]:
    """Payments that came in and were not taken back, with `used` and `left` (on account)."""
    return PAYMENTS.all()


@dataclass(frozen=True)
class OpenPaper:
    """An invoice or a late charge with something left to pay, in `currency`."""

    key: str
    row: Invoice | LateCharge
    shop_id: int
    number: str
    issued_on: date
    due_on: date
    currency: str
    amount: Decimal
    open: Decimal

    @property
    def asked_for(self) -> bool:
        """A deposit's invoice tells of money that has come: nobody is reminded of it while that waits to be posted."""
        return getattr(self.row, "kind", "") != DEPOSIT

    @property
    def prompt(self) -> tuple[date, Decimal] | None:
        """What settles it until which day by its terms; only while nothing else was taken off or paid."""
        by = getattr(self.row, "prompt_by", None)
        return (by, self.row.prompt_gross) if by and self.open == self.amount else None


def open_papers(shops: Iterable[int] | None = None) -> list[OpenPaper]:
    """What is open, of all shops or these, the oldest due first. Two queries."""
    found = []
    narrowed = {} if shops is None else {"shop__in": list(shops)}
    for letter, every in (("i", invoices_with_open()), ("l", charges_with_open())):
        rows = every.filter(open__gt=0, **narrowed).select_related("paper", "shop").defer("paper__content")
        found += [_open_paper(letter, row) for row in rows]
    return sorted(found, key=lambda one: (one.due_on, one.number))


def _open_paper(letter: str, row) -> OpenPaper:
    return OpenPaper(
        key=f"{letter}{row.pk}",
        row=row,
        shop_id=row.shop_id,
        number=row.paper.number,
        issued_on=row.paper.issued_on,
        due_on=row.due_on,
        currency=row.currency,
        amount=row.gross if letter == "i" else row.amount,
        open=row.open.quantize(PENCE),
    )


def on_account(shops: Iterable[int] | None = None) -> dict[tuple[int, str], Decimal]:
    """What lies on account by shop and currency. One query."""
    rows = payments_with_left().exclude(left=0)
    if shops is not None:
        rows = rows.filter(shop__in=list(shops))
    found: dict[tuple[int, str], Decimal] = defaultdict(lambda: NOUGHT)
    for shop, currency, left in rows.values_list("shop", "currency", "left"):
        found[shop, currency] += left.quantize(PENCE)
    return dict(found)


@dataclass(frozen=True)
class ShopDebt:
    """One shop's debt in one currency. `oldest`: its oldest due day that is past; `step`: what to do next."""

    shop: Shop
    currency: str
    aged: Aged
    papers: tuple[OpenPaper, ...]
    oldest: date | None
    reminders: int
    reminded: date | None
    step: str

    @property
    def owed(self) -> Decimal:
        return self.aged.owed


def debts(today: date, shops: Iterable[int] | None = None) -> list[ShopDebt]:
    """Who owes what: the oldest debt first, those who owe nothing left out. Five queries."""
    shops = list(shops) if shops is not None else None
    by_shop: dict[tuple[int, str], list[OpenPaper]] = defaultdict(list)
    for one in open_papers(shops):
        by_shop[one.shop_id, one.currency].append(one)
    account = on_account(shops)
    keys = set(by_shop) | set(account)
    rows = Shop.objects.in_bulk({shop for shop, _ in keys})
    told = reminders_of(rows)
    found = [
        _debt(
            rows[shop],
            currency,
            papers=by_shop[shop, currency],
            account=account.get((shop, currency), NOUGHT),
            told=told.get(shop, ()),
            today=today,
        )
        for shop, currency in keys
    ]
    far = date.max
    return sorted(found, key=lambda debt: (debt.oldest or far, -debt.owed, debt.shop.name, debt.currency))


def add_up(papers: Iterable, account: Decimal, today: date) -> tuple[Aged, date | None]:
    """Papers of one currency by age, less what lies on account; and the oldest due day that is past and asked for.

    Of each: `due_on`, `open`, and whether it is `asked_for` (OpenPaper).
    """
    papers = list(papers)
    oldest = min((one.due_on for one in papers if one.due_on < today and one.asked_for), default=None)
    return aged(((one.due_on, one.open) for one in papers), today, account), oldest


def _debt(shop: Shop, currency: str, *, papers: list[OpenPaper], account: Decimal, told, today: date) -> ShopDebt:
    sums, oldest = add_up(papers, account, today)
    # What was reminded of before this debt began tells nothing about it.
    since = [on for on in told if oldest is not None and on > oldest]
    reminded = max(since, default=None)
    step = next_step(sums, oldest=oldest, reminded=reminded, reminders=len(since), today=today)
    return ShopDebt(shop, currency, sums, tuple(papers), oldest, len(since), reminded, step)


def reminders_of(shops: Iterable[int]) -> dict[int, list[date]]:
    """Days of the reminders each shop was sent. One query."""
    # They all have a running number, and are found by it: a shop's papers of ten years need not be looked through.
    rows = Paper.objects.filter(kind=REMINDER, running__isnull=False, shop__in=list(shops), cancellation=None)
    found: dict[int, list[date]] = defaultdict(list)
    for shop, on in rows.values_list("shop", "issued_on"):
        found[shop].append(on)
    return found


def total_of(found: Iterable[ShopDebt], currency: str) -> Aged:
    """All debts of one currency added up."""
    return sum((debt.aged for debt in found if debt.currency == currency), Aged())
