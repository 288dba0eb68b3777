"""The house's own templates of widgets write what Django's write."""

from datetime import date

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates, TemplatesSetting
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy

ATTRS = {
    "id": "id_<x>",
    "required": True,
    "disabled": False,
    "min": 0,
    "data-words": 'one "two" & three',
    "data-safe": mark_safe("a &amp; b"),
    "data-lazy": gettext_lazy("Yes"),
}


@pytest.mark.parametrize(
    ("widget", "value"),
    [
        (forms.TextInput(ATTRS), 'typed "in" <b>'),
        (forms.TextInput(), None),
        (forms.HiddenInput(ATTRS), 0),
        (forms.DateInput({"type": "date"}, format="%Y-%m-%d"), date(2026, 3, 1)),
        (forms.EmailInput({"multiple": True}), ""),
        (forms.Select(ATTRS, choices=[("", "any <one>"), (1, "A & B"), ("Last", [("x", 1234), ("y", "Y")])]), 1),
        (forms.SelectMultiple(choices=[("a", "A"), ("b", "B")]), ["b"]),
    ],
)
def test_a_widget_says_what_djangos_template_says(widget, value):
    own, djangos = (
        widget.render("field", value, renderer=renderer()) for renderer in (TemplatesSetting, DjangoTemplates)
    )
    assert own.split() == djangos.split()
