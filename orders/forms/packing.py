"""Forms of the packing bench. `version` is the delivery's, as it stood when the form was made."""

from django import forms
from django.utils import timezone

from orders.forms.promises import VersionForm
from orders.models import BoxKind
from orders.models.order import MOST_PAIRS


def _day(label: str, **options) -> forms.DateField:
    return forms.DateField(label=label, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **options)


class StartForm(forms.Form):
    """The van day is the proposed one unless another is given."""

    van_day = _day("Van day", required=False)


class CloseForm(VersionForm):
    pass


class UnpackForm(VersionForm):
    reason = forms.CharField(label="Why", max_length=200, required=False)

    def __init__(self, *args, needs_reason: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"].required = needs_reason


class LeftForm(VersionForm):
    on = _day("Left on", initial=timezone.localdate)


class DayLeftForm(forms.Form):
    on = _day("Left on", initial=timezone.localdate)


class MoveForm(VersionForm):
    """Which pairs go to which box: `to` is a box's number, or "new" and the key of a kind of box."""

    content = forms.TypedChoiceField(label="These pairs", coerce=int)
    pairs = forms.IntegerField(
        min_value=1, max_value=MOST_PAIRS, widget=forms.NumberInput(attrs={"inputmode": "numeric"})
    )
    to = forms.ChoiceField(label="Into")

    def __init__(self, *args, boxes, **kwargs):
        super().__init__(*args, **kwargs)
        # A box of seconds goes as it is.
        loose = [box for box in boxes if not box.seconds_box_id]
        self.fields["content"].choices = [
            (content.pk, f"Box {box.number}: {content.pairs} x {_named(content)}")
            for box in loose
            for content in box.contents.all()
        ]
        self.kinds = {f"new{kind.pk}": kind for kind in BoxKind.objects.filter(active=True)}
        self.fields["to"].choices = [
            *((str(box.number), f"box {box.number} ({box.kind})") for box in loose),
            *((value, f"a new box: {kind}") for value, kind in self.kinds.items()),
        ]

    def clean(self):
        """`to_box` and `new_kind`, as the domain takes them."""
        cleaned = super().clean()
        if to := cleaned.pop("to", ""):
            new_kind = self.kinds.get(to)
            cleaned.update(new_kind=new_kind, to_box=None if new_kind else int(to))
        return cleaned


def _named(content) -> str:
    line = content.delivery_line
    return f"{line.line.candle.code}, lot {line.lot.code}"
