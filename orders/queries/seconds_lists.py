"""Who wants the seconds list, and who has had today's."""

from dataclasses import dataclass

from orders.domain.seconds_lists import addresses_for_seconds, key_of_today, why_not_sent_to
from orders.models import Letter, Shop


@dataclass(frozen=True)
class ListedShop:
    """A shop that wants the list, where it goes, why it does not (empty: it does), and today's letter if it had it."""

    shop: Shop
    to: str
    why_not: str
    letter: Letter | None

    @property
    def waits(self) -> bool:
        """Whether it can have the list now."""
        return not self.letter and not self.why_not

    @property
    def pk(self) -> int:
        return self.shop.pk


def listed_shops() -> list[ListedShop]:
    """By name. Three queries, however many they are."""
    shops = list(Shop.objects.filter(active=True, wants_seconds_list=True).prefetch_related("contacts"))
    keys = {key_of_today(shop): shop.pk for shop in shops}
    letters = {keys[letter.key]: letter for letter in Letter.objects.filter(key__in=keys).prefetch_related("papers")}
    return [
        ListedShop(shop, addresses_for_seconds(shop), why_not_sent_to(shop), letters.get(shop.pk)) for shop in shops
    ]
