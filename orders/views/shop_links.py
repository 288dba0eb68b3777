"""A shop's own view of one order, open to whoever holds its link; and the link on the order's page."""

from functools import wraps

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles
from inventory.models import SECONDS, Workshop
from inventory.views.pdf import pdf_response
from orders.domain.papers import PaperDamaged, PaperNotRendered, paper_pdf
from orders.domain.shop_links import LinkEnded, link_for, read_link, withdraw_links
from orders.queries.shop_links import own_days, own_lines, own_papers, own_sentence
from orders.tables.shop_links import OwnLineTable, OwnPaperTable
from orders.views.order import get_order

HEADERS = {
    # The address is the key: no other site is told it, no search engine keeps it, no cache on the way keeps the page.
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "no-store",
}


def by_link(view):
    """The view gets the order's link; a wrong token is 404, one that is over says so (410)."""

    @login_not_required
    @require_safe
    @wraps(view)
    def wrapper(request, token, **kwargs):
        try:
            link = read_link(token)
        except LinkEnded:
            response = render(
                request, "orders/own_view_ended.html", {"workshop": Workshop.objects.first()}, status=410
            )
        else:
            if link is None:
                raise Http404("No such page.")
            response = view(request, link, token, **kwargs)
        for name, value in HEADERS.items():
            response.headers[name] = value
        return response

    return wrapper


@by_link
def own_view(request, link, token):
    order = link.order
    lines = own_lines(order)
    context = {
        "order": order,
        "link": link,
        "workshop": Workshop.objects.first(),
        "headline": own_sentence(order, lines, own_days(order)),
        "lines": OwnLineTable(lines, second=order.grade == SECONDS),
        "papers": OwnPaperTable(own_papers(order), token=token),
    }
    return render(request, "orders/own_view.html", context)


@by_link
def own_paper(request, link, token, pk):
    row = get_object_or_404(own_papers(link.order), pk=pk)
    try:
        return pdf_response(request, paper_pdf(row), row.number)
    except (PaperDamaged, PaperNotRendered):
        context = {"workshop": Workshop.objects.first(), "number": row.number}
        return render(request, "orders/own_view_ended.html", context, status=503)


@for_roles("packer", "bookkeeper")
@require_POST
def shop_link_make(request, number):
    order = get_order(number)
    try:
        link_for(order=order, by=request.user)
    except ValidationError as refused:
        messages.warning(request, " ".join(refused.messages))
    else:
        messages.success(request, "The shop's link stands under Deliveries and papers.")
    return redirect("order", number)


@for_roles("packer", "bookkeeper")
@require_POST
def shop_link_withdraw(request, number):
    order = get_order(number)
    gone = withdraw_links(order=order, by=request.user)
    messages.success(request, "The shop's link opens nothing any more." if gone else "There is no link to withdraw.")
    return redirect("order", number)
