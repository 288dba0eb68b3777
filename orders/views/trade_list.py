"""The printed trade list: of a price list, or what one shop pays."""

from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.printing import render_pdf
from inventory.views.pdf import pdf_response
from orders.documents.trade_list import trade_list_for, trade_list_of
from orders.models import PriceList, Shop


@for_roles("packer", "bookkeeper")
@require_safe
def trade_list(request, pk: int):
    row = get_object_or_404(PriceList.objects.select_related("group"), pk=pk)
    return _print(request, trade_list_of(row, timezone.localdate()), row.name)


@for_roles("packer", "bookkeeper")
@require_safe
def shop_trade_list(request, pk: int):
    shop = get_object_or_404(Shop.objects.select_related("group"), pk=pk)
    return _print(request, trade_list_for(shop, timezone.localdate()), f"prices {shop.name}")


def _print(request, found, name: str):
    return pdf_response(request, render_pdf("print/trade_list.html", {"list": found}), name)
