from tests.factories.order_forms import make_back, make_form


def rows(season) -> dict[str, dict]:
    form = make_form(season.sent.shop, by=season.by)
    back = make_back(form, {season.candle.code: 24}, by=season.by)
    return {
        "order_form_new": {"pk": form.shop_id},
        "order_form": {"pk": form.pk},
        "form_back": {"pk": back.pk},
        "kept_file": {"pk": form.file_id},
    }
