"""The house that real months are loaded into: shops, candles, boxes, rates and prices, made by rule from the data."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from config.measure.months_data import Months
from config.models import Person
from inventory.models import Candle, Colour, Wax, Workshop
from orders.models import Address, AgreedPrice, BoxKind, Shop, VanDay, VatRate

# Dearer than so many pounds a pair: code of the shape, length, base, tip (mm), pairs to a box. Cheap things are small.
SHAPES = ((3, "taper", 250, 22, 16, 30), (1, "dinner", 180, 20, 16, 60), (0, "stub", 90, 18, 15, 120))
WEEKS_A_LOT = 4  # stock of a candle comes in once in so many weeks, for all that is ordered of it in them
EVERY_SHORT = 40  # of so many lots one brings half of what is needed, and the other half comes with the next
FEW_SHOPS = 10  # of so many shops one takes complete deliveries only, and one has a credit limit
BATCH = 2000


@dataclass
class House:
    by: Person
    shops: dict[str, Shop]
    addresses: dict[str, Address]
    candles: dict[str, Candle]


def make_house(months: Months) -> House:
    """In an empty, migrated book: everything an order needs before it can be taken, and no stock."""
    by = Person.objects.create_person("months", "wick-and-wax-1", full_name="Nine Months", owner=True)
    Workshop.objects.update_or_create(
        pk=1,
        defaults={"name": "Nine Months", "address": "2 Tallow Lane", "town": "Wexcombe", "vat_number": "GB999999973"},
    )
    BoxKind.objects.create(
        name="Box", length_mm=320, width_mm=240, height_mm=160, tare_g=240, limit_g=14_000, standard=True
    )
    VanDay.objects.bulk_create(VanDay(weekday=weekday) for weekday in range(7))
    # The standard rate before 4 January 2011, when it became 20 % (from memory).
    VatRate.objects.create(vat_class="standard", since=date(2010, 1, 1), category="S", percent=Decimal("17.5"))
    candles = _make_candles(months)
    shops = _make_shops(months)
    addresses = {code: _address(shop, months.abroad.get(code, "GB")) for code, shop in shops.items()}
    Address.objects.bulk_create(addresses.values(), batch_size=BATCH)
    AgreedPrice.objects.bulk_create(_agreed(months, shops, candles), batch_size=BATCH)
    return House(by, shops, addresses, candles)


def _make_candles(months: Months) -> dict[str, Candle]:
    wax = Wax.objects.create(name="Paraffin", density_solid=Decimal("0.900"), density_liquid=Decimal("0.780"))
    colour = Colour.objects.create(code="IV", name="Ivory", hex="#f0e3c4")
    found = {}
    for place, (item, price) in enumerate(sorted(months.usual.items()), start=1):
        _, shape, length, base, tip, per_box = next(row for row in SHAPES if price >= row[0])
        found[item] = Candle(
            code=f"N{place:04d}", name=f"Ivory {shape} {place}", length_mm=length, base_mm=base, tip_mm=tip, wax=wax,
            colour=colour, wick="flat 24 ply", pairs_per_box=per_box, trade_price=price,
        )  # fmt: skip
    Candle.objects.bulk_create(found.values(), batch_size=BATCH)
    return found


def _make_shops(months: Months) -> dict[str, Shop]:
    codes = sorted({order.shop for order in months.orders})
    found = {code: _shop(place) for place, code in enumerate(codes, start=1)}
    Shop.objects.bulk_create(found.values(), batch_size=BATCH)
    return found


def _shop(place: int) -> Shop:
    return Shop(
        name=f"Shop {place}",
        town="Orrin Bay",
        rank=3 + place % 5,
        complete_only=place % FEW_SHOPS == 1,
        credit_limit=Decimal(500_000) if place % FEW_SHOPS == 2 else None,
        carriage=Decimal("8.50"),
        carriage_free_above=Decimal(150),
    )


def _address(shop: Shop, country: str) -> Address:
    return Address(
        shop=shop, kind="delivery", label="Shop", lines="4 Tanner Row", town="Orrin Bay", postcode="ZZ2 2BB",
        country=country, usual=True,
    )  # fmt: skip


def _agreed(months: Months, shops: dict[str, Shop], candles: dict[str, Candle]) -> list[AgreedPrice]:
    """A shop that paid another price than most that day had agreed it for that day; the day's last one counts."""
    found: dict[tuple, Decimal] = {}
    for order in months.orders:
        for row in order.rows:
            if row.price != months.usual[row.item]:
                found[order.shop, row.item, order.day] = row.price
    return [
        AgreedPrice(shop=shops[shop], candle=candles[item], price=price, since=day, until=day)
        for (shop, item, day), price in found.items()
    ]


def lots_by_day(months: Months) -> dict[date, list[tuple[str, int]]]:
    """When which lots come in, as (item, pairs): on the day an item is first asked for in each stretch of WEEKS_A_LOT.

    In all they are what is ordered in all; what is missing at the end comes on the day after it.
    """
    first, last = months.orders[0].day, months.orders[-1].day
    needs: dict[tuple[int, str], int] = defaultdict(int)
    days: dict[tuple[int, str], date] = {}
    for order in months.orders:
        for row in order.rows:
            key = (order.day - first).days // (7 * WEEKS_A_LOT), row.item
            needs[key] += row.pairs
            days.setdefault(key, order.day)
    found, later = defaultdict(list), defaultdict(int)
    for serial, ((stretch, item), ordered) in enumerate(sorted(needs.items())):
        pairs = ordered + later.pop(item, 0)
        if serial % EVERY_SHORT == 0 and pairs > 1:
            later[item] = pairs // 2
        found[days[stretch, item]].append((item, pairs - later.get(item, 0)))
    found[last + timedelta(days=1)] += sorted(later.items())
    return dict(found)


def days_of(months: Months) -> Iterator[date]:
    """Each day something happens, and two after the last: one to pack and send, one to invoice."""
    last = months.orders[-1].day
    days = {order.day for order in months.orders} | {off.day for off in months.taken_off} | set(lots_by_day(months))
    yield from sorted(days | {last + timedelta(days=ahead) for ahead in (1, 2)})
