"""Forms of grading: big number fields, one a fault, and room for faults in one's own words."""

import hashlib

from django import forms

from production.domain.counting_off import LONGEST_FAULT, CountedOff
from production.models import Frame

OWN_ROWS = (1, 2)
MOST = 500  # pairs in one field; the count itself is held against what was hung
REST = {"firsts": "firsts", "remelt": "for remelt"}


def field_of(fault: str) -> str:
    """The field of a fault. Its name does not change when the order of the faults does."""
    return f"fault-{hashlib.sha256(fault.casefold().encode()).hexdigest()[:10]}"


def pairs_field(label: str, **options) -> forms.IntegerField:
    # An untouched field is nought: nobody writes fifteen of them for one bubble.
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=MOST,
        required=False,
        widget=forms.NumberInput({"data-pairs": ""}),
        **options,
    )


class CountOffForm(forms.Form):
    """What is counted off a frame. `with_rest` puts what is left into one of the fields of REST."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)
    firsts = pairs_field("Firsts")
    remelt = pairs_field("For remelt")

    def __init__(self, *args, frame: Frame, faults: list[str], rest: str = "", **kwargs):
        super().__init__(*args, **kwargs)
        self.frame, self.rest = frame, rest if rest in REST else ""
        self.faults = {field_of(fault): fault for fault in faults}
        for name, fault in self.faults.items():
            self.fields[name] = pairs_field(fault.capitalize())
        for row in OWN_ROWS:
            self.fields[f"own_{row}"] = forms.CharField(
                label=f"Another fault, in your own words ({row})", max_length=LONGEST_FAULT, required=False
            )
            self.fields[f"own_pairs_{row}"] = pairs_field(f"Pairs with it ({row})")

    def clean(self):
        cleaned = super().clean()
        for row in OWN_ROWS:
            if cleaned.get(f"own_pairs_{row}") and not cleaned.get(f"own_{row}"):
                self.add_error(f"own_{row}", "Say what is wrong with them.")
            if cleaned.get(f"own_{row}") and not cleaned.get(f"own_pairs_{row}"):
                self.add_error(f"own_pairs_{row}", "How many pairs have it?")
        return cleaned

    @property
    def counted(self) -> int:
        """Pairs in all fields that could be read."""
        data = getattr(self, "cleaned_data", None) if self.is_bound else self.initial
        return sum((data or {}).get(name) or 0 for name in self.pairs_names)

    @property
    def pairs_names(self) -> list[str]:
        return ["firsts", "remelt", *self.faults, *(f"own_pairs_{row}" for row in OWN_ROWS)]

    @property
    def left(self) -> int:
        """Pairs hung and not yet counted; below nought, counted too often."""
        return self.frame.hung - self.counted

    def count(self) -> dict:
        """`firsts`, `seconds` {fault: pairs} and `remelt` of a form that is valid."""
        given = self.cleaned_data
        seconds: dict[str, int] = {}
        named = [(fault, given.get(name)) for name, fault in self.faults.items()]
        named += [(given.get(f"own_{row}"), given.get(f"own_pairs_{row}")) for row in OWN_ROWS]
        for fault, pairs in named:
            if pairs:
                seconds[fault] = seconds.get(fault, 0) + pairs
        numbers = {"firsts": given.get("firsts") or 0, "remelt": given.get("remelt") or 0}
        if self.rest:
            numbers[self.rest] += max(0, self.left)
        return {**numbers, "seconds": seconds}

    def refuse(self, refusal) -> None:
        """Put each reason of a refusal at its field; at the head where the page has none of that name."""
        if not hasattr(refusal, "error_dict"):
            self.add_error(None, refusal)
            return
        for name, errors in refusal.error_dict.items():
            self.add_error(name if name in self.fields else None, errors)

    @property
    def usual(self):
        """Fields of the faults shown at once."""
        return self._fields_of(list(self.faults)[:8])

    @property
    def other(self):
        return self._fields_of(list(self.faults)[8:])

    @property
    def other_used(self) -> bool:
        """Something stands in the fields that are folded away, or is wrong with them."""
        names = [field.name for field in self.other] + [
            f"{own}_{row}" for own in ("own", "own_pairs") for row in OWN_ROWS
        ]
        return any(self[name].value() not in (None, "") or self[name].errors for name in names)

    def _fields_of(self, names):
        return [self[name] for name in names]

    @property
    def own(self):
        return [(self[f"own_{row}"], self[f"own_pairs_{row}"]) for row in OWN_ROWS]


class GradeForm(CountOffForm):
    """Grading for the first time."""

    early = forms.CharField(
        label="Why it is graded before it is hard",
        max_length=200,
        required=False,
        help_text="For example: thin candles, hard to the touch.",
    )


class CorrectForm(CountOffForm):
    """Putting a grading right."""

    reason = forms.CharField(
        label="What was wrong with the first count", max_length=120, help_text="For example: a bar was counted twice."
    )


def initial_of(count: CountedOff, version: int) -> dict:
    """What a grading says, as the form's fields."""
    faults = {field_of(fault): pairs for fault, pairs in count.seconds.items()}
    return {"firsts": count.firsts, "remelt": count.remelt, "version": version, **faults}
