"""Addresses and contacts of a shop: one form, one way to save or refuse for both."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from orders.domain.shops import remove_address, remove_contact, save_address, save_contact
from orders.forms.shops import AddressForm, ContactForm
from orders.models import Address, Contact, Shop
from orders.views.stale import refuse


@for_roles("owner")
@require_http_methods(["GET", "POST"])
def address_new(request, pk):
    shop = get_object_or_404(Shop, pk=pk)
    return _keep(request, shop, AddressForm, _save_address, f"Where does {shop.name} want it sent?")


@for_roles("owner")
@require_http_methods(["GET", "POST"])
def address_edit(request, pk, address_pk):
    address = get_object_or_404(Address.objects.select_related("shop"), pk=address_pk, shop=pk)
    goes = "Parcels" if address.kind == "delivery" else "Invoices"
    sentence = f"{goes} for {address.shop.name} go to {address.label}, {address.town}."
    return _keep(request, address.shop, AddressForm, _save_address, sentence, row=address, remove="address_remove")


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def contact_new(request, pk):
    shop = get_object_or_404(Shop, pk=pk)
    return _keep(request, shop, ContactForm, _save_contact, f"Whom does one ask for at {shop.name}?")


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def contact_edit(request, pk, contact_pk):
    contact = get_object_or_404(Contact.objects.select_related("shop"), pk=contact_pk, shop=pk)
    sentence = f"{contact.name} looks after {contact.does or 'everything'} at {contact.shop.name}."
    return _keep(request, contact.shop, ContactForm, _save_contact, sentence, row=contact, remove="contact_remove")


@for_roles("owner")
@require_POST
def address_remove(request, pk, address_pk):
    address = get_object_or_404(Address.objects.select_related("shop"), pk=address_pk, shop=pk)
    return _remove(request, address.shop, remove_address, address=address)


@for_roles("bookkeeper")
@require_POST
def contact_remove(request, pk, contact_pk):
    contact = get_object_or_404(Contact.objects.select_related("shop"), pk=contact_pk, shop=pk)
    return _remove(request, contact.shop, remove_contact, contact=contact)


def _save_address(row, **values):
    return save_address(address=row, **values)


def _save_contact(row, **values):
    return save_contact(contact=row, **values)


def _keep(request, shop, kind, save, sentence, *, row=None, remove=""):
    context = {"shop": shop, "headline": sentence, "back": shop.get_absolute_url(), "row": row, "remove": remove}
    if request.method == "GET":
        context["form"] = kind(instance=row, initial={"version": shop.version})
        return render(request, "orders/shop_edit.html", context)
    model = kind.Meta.model
    form = context["form"] = kind(request.POST, instance=model.objects.get(pk=row.pk) if row else None)
    if form.is_valid():
        try:
            saved = save(
                row, shop=shop, version=form.cleaned_data["version"], fields=form.fields_typed, by=request.user
            )
        except ValidationError as error:
            context["theirs"] = refuse(form, error, row=row, version=shop.version)
        else:
            messages.success(request, f"{saved} is saved.")
            return redirect(shop)
    return render(request, "orders/shop_edit.html", context, status=422)


def _remove(request, shop, remove, **row):
    try:
        remove(shop=shop, version=_version(request), by=request.user, **row)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{next(iter(row.values()))} is removed.")
    return redirect(shop)


def _version(request) -> int:
    typed = request.POST.get("version", "")
    return int(typed) if typed.isdecimal() and len(typed) < 10 else 0
