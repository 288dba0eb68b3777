"""A refused act on an order's page: each reason at its field, those of no field at the form's head."""

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from orders.views.stale import Theirs, refuse


def refused(form, error: ValidationError, *, version: int, row=None) -> list[Theirs]:
    """As `refuse`, but an error at a field the form has not (the order's sum, say) goes to the head of it."""
    return refuse(form, placed(form, error), row=row, version=version)


def placed(form, error: ValidationError) -> ValidationError:
    """The error with each reason at its field, if the form has that field."""
    if not hasattr(error, "error_dict"):
        return error
    found: dict[str, list] = {}
    for field, errors in error.error_dict.items():
        found.setdefault(field if field in form.fields else NON_FIELD_ERRORS, []).extend(errors)
    return ValidationError(found)
