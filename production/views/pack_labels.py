"""Labels for packs of a candle: what they will say, and the sheets to print."""

from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.label_layout import MOST_LABELS, PACK, style_of
from inventory.models import Candle
from inventory.printing import render_pdf
from inventory.queries.labels import sheets_for
from inventory.views.pdf import pdf_response
from inventory.words import counted, measure
from production.burning import rate_doubt
from production.forms.pack_labels import PackLabelForm
from production.queries.burning import burn_rate_of
from production.queries.pack_labels import Pack, gaps, pack_label

CANDLES = Candle.objects.select_related("wax", "colour")


@for_roles("packer", "dipper")
@require_safe
def pack_labels(request, pk):
    candle = get_object_or_404(CANDLES, pk=pk)
    return _page(request, candle, PackLabelForm(candle=candle, initial=_first_asked(request, candle)))


@for_roles("packer", "dipper")
@require_safe
def pack_labels_pdf(request, pk):
    """The sheets, as asked in the address; asked for what cannot be printed, the page comes back with the reason."""
    candle = get_object_or_404(CANDLES, pk=pk)
    if not request.GET:
        return redirect("pack_labels", pk)
    form = PackLabelForm(request.GET, candle=candle)
    if form.is_valid():
        try:
            label = pack_label(_shown(form, form.cleaned_data["sheet"]))
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            return _printed(request, form.cleaned_data, label)
    return _page(request, candle, form, status=422)


def _printed(request, asked: dict, label: dict):
    sheet, candle = asked["sheet"], label["candle"]
    content = {"label": label, "title": f"Labels for {candle}"}
    one = render_pdf("print/pack_labels.html", content, style=style_of(sheet, least=PACK))
    # pypdf is loaded with the first sheets, not with every start.
    from inventory.label_sheets import lay_out  # noqa: PLC0415

    pdf = lay_out(one, sheet=sheet, start=asked["start"], times=asked["count"])
    return pdf_response(request, pdf, f"labels {candle.code} {label['lot']}")


def _first_asked(request, candle: Candle) -> dict:
    """A lot named in the address, and a label for each of its pairs."""
    lots = PackLabelForm(candle=candle).fields["lot"].queryset
    asked = request.GET.get("lot", "")
    lot = lots.filter(pk=int(asked)).first() if asked.isdecimal() and len(asked) < 10 else None
    lot = lot or lots.first()
    sheet = sheets_for(PACK).first()
    count = min(lot.on_hand, MOST_LABELS) if lot else sheet.to_a_page if sheet else 1
    return {"lot": lot.pk if lot else None, "count": count, "sheet": sheet.pk if sheet else None}


def _page(request, candle: Candle, form: PackLabelForm, status: int = 200):
    sheet = sheets_for(PACK).first()
    shown = _shown(form, sheet) if sheet else None
    label, why = _tried(shown) if shown else (None, "")
    rate = burn_rate_of(candle)
    context = {
        "candle": candle,
        "form": form,
        "sheet": sheet,
        "label": label,
        "headline": _headline(candle, label, sheet, why),
        "gaps": gaps(shown) if shown else [],
        "basis": rate.basis,
        "doubt": rate_doubt(candle.base_mm, rate),
        "pair_g": measure(candle.grams_a_pair),
    }
    return render(request, "production/pack_labels.html", context, status=status)


def _shown(form: PackLabelForm, sheet) -> Pack:
    """What the page shows: as it was typed, so far as that can be; else what it offers."""
    typed = getattr(form, "cleaned_data", {})
    offered = form.fields["lot"].queryset.filter(pk=form.initial.get("lot"))
    lot = typed.get("lot") if form.is_bound else offered.first()
    return Pack(
        candle=form.candle,
        sheet=typed.get("sheet") or sheet,
        lot=lot,
        pairs=typed.get("pairs") or 1,
        net_g=typed.get("net_g"),
        burn=typed.get("burn", True),
        more=tuple(typed.get("more", ())),
    )


def _tried(pack: Pack) -> tuple[dict | None, str]:
    try:
        return pack_label(pack), ""
    except ValidationError as refused:
        return None, " ".join(refused.messages)


def _headline(candle: Candle, label: dict | None, sheet, why: str) -> str:
    if not sheet:
        return "No sheet of labels is large enough for a pack's label."
    if not label:
        return f"No label for {candle} yet. {why}"
    marks = counted(len(label["marks"]), "safety mark")
    return f"A pack of {candle} weighs {label['net']} net; its label carries {marks}."
