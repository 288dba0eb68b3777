from orders.domain.shop_links import link_for, token_of
from orders.models import Paper


def rows(season) -> dict[str, dict]:
    order = season.waiting.order
    token, number = token_of(link_for(order=order, by=season.by)), {"number": order.number}
    return {
        "own_view": {"token": token},
        "own_paper": {"token": token, "pk": Paper.objects.get(delivery=season.waiting).pk},
        "shop_link_make": number,
        "shop_link_withdraw": number,
    }
