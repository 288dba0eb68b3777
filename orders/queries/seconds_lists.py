"""Who wants the seconds list, and who has had today's."""

from dataclasses import dataclass

from orders.domain.seconds_lists import addresses_for_seconds, key_of_today
from orders.models import Letter, Shop


@dataclass(frozen=True)
class ListedShop:
    """A shop that wants the list, where it goes (empty: no address), and today's letter if it has had it."""

    shop: Shop
    to: str
    letter: Letter | None

    @property
    def pk(self) -> int:
        return self.shop.pk


def listed_shops() -> list[ListedShop]:
    """By name. Three queries, however many they are."""
    shops = list(Shop.objects.filter(active=True, wants_seconds_list=True).prefetch_related("contacts"))
    keys = {key_of_today(shop): shop.pk for shop in shops}
    letters = {keys[letter.key]: letter for letter in Letter.objects.filter(key__in=keys).prefetch_related("papers")}
    return [ListedShop(shop, addresses_for_seconds(shop), letters.get(shop.pk)) for shop in shops]
