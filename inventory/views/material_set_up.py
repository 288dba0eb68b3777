"""Set-up: suppliers and materials, what waxes are blended of and colours dyed with."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from inventory.domain.material_set_up import change_material
from inventory.domain.mixes import blend_of, dyes_of, set_blend, set_dyes
from inventory.domain.versions import StaleVersion
from inventory.forms.materials import MaterialForm, MixForm, SupplierForm
from inventory.material_words import mix_in_words
from inventory.models import Colour, Material, Supplier, Wax
from inventory.models.material import DYE, WAX
from inventory.queries.setup import counted
from inventory.tables.materials import MaterialSetUpTable, MixTable, SupplierTable
from inventory.views.set_up_lists import SetUpList
from inventory.views.setup import how_many

SUPPLIERS = SetUpList(
    list_name="suppliers",
    row_name="supplier",
    title="Suppliers",
    form=SupplierForm,
    table=SupplierTable,
    rows=lambda: Supplier.objects.annotate(sells=counted(Material.objects, "supplier")),
    headline=how_many(
        "supplier", "suppliers", "what has to be ordered today is reckoned by their days.", "No supplier yet."
    ),
    context="Who sells wax, wick, dye, boxes and labels.",
)
MATERIALS = SetUpList(
    list_name="materials_setup",
    row_name="material_setup",
    title="Materials",
    form=MaterialForm,
    table=MaterialSetUpTable,
    rows=lambda: Material.objects.filter(remelt_of=None).select_related("supplier"),
    headline=how_many(
        "material", "materials", "waxes, colours, candles and boxes draw from them.", "No material is bought yet."
    ),
    context="What is bought. Our own wax come back is written down when it is weighed in.",
    change=change_material,
)


@dataclass(frozen=True)
class Mix:
    """Waxes with their blends, or colours with their dyes."""

    list_name: str
    row_name: str
    title: str
    model: type[Model]
    kind: str
    parts: str  # the rows that make it up, and their figure
    share: str
    figure: str
    unit: str
    decimals: int
    read: Callable
    write: Callable
    headline: Callable[[list[Model], int], str]
    context: str
    nothing: str
    caution: str = ""

    def in_words(self, mix: Mapping) -> str:
        return mix_in_words(mix, self.unit) if mix else self.nothing

    @property
    def choices(self) -> QuerySet:
        return Material.objects.filter(kind=self.kind, remelt_of=None, active=True)


def _blends_in_words(waxes: list, mixed: int) -> str:
    if not waxes:
        return "No wax yet; a blend is a wax's."
    bare = len(waxes) - mixed
    rest = f"; {bare} {'draws' if bare == 1 else 'draw'} nothing from stock" if bare else ""
    return f"{mixed} of {len(waxes)} {'wax has its' if len(waxes) == 1 else 'waxes have their'} blend{rest}."


def _dyes_in_words(colours: list, mixed: int) -> str:
    if not colours:
        return "No colour yet; dye is a colour's."
    bare = len(colours) - mixed
    rest = f"; {bare} {'is' if bare == 1 else 'are'} the wax itself" if bare else ""
    return f"{mixed} of {len(colours)} {'colour is' if len(colours) == 1 else 'colours are'} dyed{rest}."


BLENDS = Mix(
    list_name="blends",
    row_name="blend",
    title="Blends",
    model=Wax,
    kind=WAX,
    parts="blend",
    share="percent",
    figure="Share (%)",
    unit="%",
    decimals=2,
    read=blend_of,
    write=lambda row, **given: set_blend(wax=row, **given),
    headline=_blends_in_words,
    context="Shares by weight; they make 100 %. A frame draws its wax by them when it is counted off.",
    nothing="draws nothing from stock",
    caution="inventory/setup/_hot_wax.html",
)
DYES = Mix(
    list_name="dyes",
    row_name="dye",
    title="Dyes",
    model=Colour,
    kind=DYE,
    parts="dyes",
    share="grams_a_kilo",
    figure="Grams to a kg of wax",
    unit="g to a kg",
    decimals=3,
    read=dyes_of,
    write=lambda row, **given: set_dyes(colour=row, **given),
    headline=_dyes_in_words,
    context="Grams of dye to a kilogram of wax. The supplier's sheet says what a wax takes and how hot it may get.",
    nothing="the wax itself",
)


def mixes_view(spec: Mix):
    @for_roles("owner")
    @require_http_methods(["GET", "HEAD"])
    def view(request):
        rows = list(spec.model.objects.prefetch_related(f"{spec.parts}__material"))
        mixes = [{part.material: getattr(part, spec.share) for part in getattr(row, spec.parts).all()} for row in rows]
        table = MixTable(
            [
                {"name": row.name, "url": reverse(spec.row_name, args=[row.pk]), "parts": spec.in_words(mix)}
                for row, mix in zip(rows, mixes, strict=True)
            ]
        )
        headline = spec.headline(rows, sum(bool(mix) for mix in mixes))
        context = {"spec": spec, "table": table, "headline": headline}
        return render(request, "inventory/materials/mixes.html", context)

    return view


def mix_view(spec: Mix):
    @for_roles("owner")
    @require_http_methods(["GET", "HEAD", "POST"])
    def view(request, pk: int):
        row = get_object_or_404(spec.model, pk=pk)
        mix, theirs = spec.read(row), ""
        asked = {"choices": spec.choices, "figure": spec.figure, "decimals": spec.decimals}
        form = MixForm(request.POST or None, mix=mix, **asked)
        if request.method == "POST" and form.is_valid():
            given = form.cleaned_data
            try:
                spec.write(row, parts=given["parts"], seen=given["seen"], by=request.user)
            except StaleVersion as stale:
                form.add_error(None, stale)
                form.see(mix)
                theirs = spec.in_words(mix)
            except ValidationError as refused:
                form.add_error(None, refused)
            else:
                messages.success(request, f"{row}: {spec.in_words(given['parts'])}.")
                return redirect(spec.list_name)
        context = {"spec": spec, "row": row, "form": form, "now": spec.in_words(mix), "theirs": theirs}
        return render(request, "inventory/materials/mix.html", context, status=422 if form.errors else 200)

    return view
