"""What an order form is made from, and the forms made and come back."""

from datetime import date, timedelta

from django.db.models import Count, QuerySet, Sum

from inventory.models import FIRSTS
from orders.models import FormBack, OrderForm, OrderLine, Shop, VanDay
from orders.models.order import CANCELLED, CONFIRMED, DONE
from orders.order_form.told import quarters_before
from orders.queries.earlier_orders import sensible_ship_by
from orders.van_days import WORKING_DAYS

HALF_A_YEAR = timedelta(days=182)
SEASON_FROM, CHRISTMAS_EVE = 6, (12, 24)


def usual_stretch(today: date) -> tuple[date, date]:
    """The days a form offers unless others are asked for: from the first sensible van day to Christmas Eve from June
    on, else for half a year.
    """
    first = sensible_ship_by(today)
    eve = date(today.year, *CHRISTMAS_EVE)
    last = eve if today.month >= SEASON_FROM and first <= eve else first + HALF_A_YEAR
    return first, last


def van_days_between(first: date, last: date) -> list[date]:
    """The van's days of a stretch, both ends included."""
    goes_on = van_weekdays() or set(WORKING_DAYS)
    days = (first + timedelta(days=ahead) for ahead in range((last - first).days + 1))
    return [day for day in days if day.weekday() in goes_on]


def van_weekdays() -> set[int]:
    return set(VanDay.objects.values_list("weekday", flat=True))


def pairs_ordered(shop: Shop, since: date, until: date) -> dict[int, int]:
    """Pairs of firsts by candle that the shop ordered to leave from `since` to before `until`. One query."""
    lines = OrderLine.objects.filter(
        order__shop=shop, order__grade=FIRSTS, order__status__in=(CONFIRMED, DONE),
        order__ship_by__gte=since, order__ship_by__lt=until,
    )  # fmt: skip
    return dict(lines.order_by().values_list("candle").annotate(sum=Sum("pairs")).filter(sum__gt=0))


def last_year_of(shop: Shop, first: date, last: date) -> tuple[int, str]:
    """Pairs the shop ordered a year before the quarters of these days, and the words for when."""
    since, until, words = quarters_before(first, last)
    return sum(pairs_ordered(shop, since, until).values()), words


def forms_made() -> QuerySet[OrderForm]:
    """The newest first, with `letters` (how many took it along) and their drafts prefetched."""
    rows = OrderForm.objects.select_related("shop", "made_by").defer("rows")
    return rows.annotate(letters=Count("file__letters", distinct=True)).prefetch_related("backs__order")


def forms_of(shop: Shop) -> QuerySet[OrderForm]:
    return forms_made().filter(shop=shop)


def back_with(shop: Shop, sha256: str) -> QuerySet[FormBack]:
    """What came back saying the very same, and is not put away."""
    return FormBack.objects.filter(order__shop=shop, sha256=sha256).exclude(order__status=CANCELLED)
