"""A rule for passwords beside Django's."""

import re

from django.core.exceptions import ValidationError

DIFFERENT_SIGNS = 5
OVER_AND_OVER = re.compile(r"(.+?)\1+", re.DOTALL)


class PlainPasswordValidator:
    """Refuses the same few signs over and over: long, and among the first that are tried."""

    def validate(self, password, user=None):
        if len(set(password)) < DIFFERENT_SIGNS or OVER_AND_OVER.fullmatch(password):
            raise ValidationError("This password is the same few signs over and over.", code="password_too_plain")

    def get_help_text(self):
        return "Not the same few signs over and over."
