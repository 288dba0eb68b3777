"""A form made from a page that somebody else has changed since: both versions are shown, nothing typed is lost."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError

from inventory.domain.versions import StaleVersion


@dataclass(frozen=True)
class Theirs:
    """One field that stands differently in the book and in the form."""

    label: str
    book: str
    typed: str


def refuse(form, error: ValidationError, *, row, version: int) -> list[Theirs]:
    """Put the error at its field; after a stale version also take over the new one, and return what differs.

    Sending the same form again then overwrites knowingly. `row` is None where the row itself is gone or new.
    """
    form.add_error(None, error)
    if not isinstance(error, StaleVersion):
        return []
    form.data = form.data.copy()
    form.data["version"] = version
    if row is None:
        return []
    pairs = [(form[name], getattr(row, name)) for name in form.fields if hasattr(row, name) and name != "version"]
    return [
        Theirs(
            str(field.label), in_words(row, field.name, book), in_words(row, field.name, form.cleaned_data[field.name])
        )
        for field, book in pairs
        if field.name in form.cleaned_data and form.cleaned_data[field.name] != book
    ]


def in_words(row, name: str, value) -> str:
    """A field's value as a person would say it: yes, no, empty, the choice's own words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    choices = dict(row._meta.get_field(name).flatchoices)
    return str(choices.get(value, value)) if value not in ("", None) else "empty"
