"""Forms of the bank's files: taking one in, saying its columns, choosing what to post."""

from django import forms

from orders.forms.payments import PartsForm
from orders.models import BankColumns, Shop

NONE = ("", "none")


class FileForm(forms.Form):
    file = forms.FileField(
        label="The bank's file (CSV)", required=False, widget=forms.FileInput(attrs={"accept": ".csv,text/csv"})
    )
    typed = forms.CharField(
        label="Or paste its lines",
        required=False,
        max_length=1_000_000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="With the row of column names.",
    )

    def clean(self):
        given = super().clean()
        if not given.get("file") and not given.get("typed", "").strip() and not self.errors:
            self.add_error("file", "Choose a file, or paste its lines.")
        return given

    @property
    def name(self) -> str:
        file = self.cleaned_data.get("file")
        return file.name if file else "pasted"

    @property
    def raw(self) -> bytes:
        file = self.cleaned_data.get("file")
        return file.read() if file else self.cleaned_data["typed"].encode()


class ColumnsForm(forms.ModelForm):
    """What each column means, chosen from the names in the file's first row."""

    ROLES = {
        "day": "Day", "amount": "Amount, in and out in one column", "money_in": "Money in", "money_out": "Money out",
        "text": "Text", "reference": "Reference", "currency_column": "Currency",
    }  # fmt: skip

    class Meta:
        model = BankColumns
        fields = (
            "name", "currency", "day", "day_order", "amount", "money_in", "money_out", "text", "reference",
            "currency_column",
        )  # fmt: skip
        labels = {"day_order": "Days are written", "currency": "The account is kept in"}

    def __init__(self, *args, header: tuple[str, ...], **kwargs):
        super().__init__(*args, **kwargs)
        names = [(name, name) for name in dict.fromkeys(header) if name]
        for role, label in self.ROLES.items():
            required = role in ("day", "text")
            choices = names if required else [NONE, *names]
            self.fields[role] = forms.ChoiceField(
                label=label, choices=choices, required=required, initial=guess(role, header)
            )

    def clean(self):
        given = super().clean()
        if not given.get("amount") and not given.get("money_in"):
            self.add_error("amount", "Say in which column the money that came in stands.")
        if given.get("amount") and given.get("money_in"):
            self.add_error("money_in", "Either one column for in and out, or one for each.")
        return given


WORDS = {
    "day": ("date", "day"),
    "amount": ("amount", "value"),
    "money_in": ("paid in", "credit", "money in"),
    "money_out": ("paid out", "debit", "money out"),
    "text": ("description", "details", "narrative", "name", "payee", "text"),
    "reference": ("reference", "ref"),
    "currency_column": ("currency",),
}


def guess(role: str, header: tuple[str, ...]) -> str:
    """The column whose name fits best; the person sees it and may choose another."""
    for word in WORDS[role]:
        for name in header:
            if word in name.casefold() and not (role != "reference" and "reference" in name.casefold()):
                return name
    return ""


class LinePartsForm(PartsForm):
    """A line of the bank posted by hand: the shop was chosen before."""


class ShopForm(forms.Form):
    shop = forms.ModelChoiceField(queryset=Shop.objects.order_by("name"), empty_label="Choose a shop")


class AsideForm(forms.Form):
    aside = forms.CharField(label="It is no shop's payment: it is", max_length=120)
