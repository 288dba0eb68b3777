from orders.models import SecondsAge
from tests.factories.seconds import make_age, make_seconds_box, make_seconds_lot


def rows(season) -> dict[str, dict]:
    age = SecondsAge.objects.first() or make_age(60, 20)
    box = make_seconds_box((make_seconds_lot(season.candle, 9, by=season.by), 6), by=season.by)
    names = ("seconds_box", "seconds_box_label", "seconds_box_price", "seconds_box_open", "seconds_box_off")
    return {
        **{name: {"pk": box.pk} for name in names},
        "seconds_list_paper": {"pk": season.sent.shop_id},
        "seconds_age": {"pk": age.pk},
        "seconds_age_delete": {"pk": age.pk},
    }
