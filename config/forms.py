"""Forms of signing in and of the people pages."""

from django import forms

from config.models import Person
from config.roles import ROLES

MOST_PASSWORD = 128  # characters; more would only keep the hasher busy
ROLE_WORDS = {
    "owner": "owner: everything, and Set-up",
    "dipper": "dipper: dip list and stockroom",
    "packer": "packer: orders, stockroom, packing bench",
    "bookkeeper": "bookkeeper: orders, ledger, shops",
}


class PasswordField(forms.CharField):
    def __init__(self, *, autocomplete: str, **options):
        widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
        super().__init__(strip=False, max_length=MOST_PASSWORD, widget=widget, **options)


class PinField(forms.CharField):
    """A PIN never stands in the page again; the number pad of a tablet opens for it."""

    def __init__(self, **options):
        widget = forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off", "maxlength": 8})
        super().__init__(**{"label": "PIN", "max_length": 8, "widget": widget, **options})


class SignInForm(forms.Form):
    username = forms.CharField(
        label="Sign-in name",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = PasswordField(label="Password", autocomplete="current-password")

    def clean_username(self):
        # The lock counts by name: ANN and ann are one.
        return self.cleaned_data["username"].lower()


class ChangeHandsForm(forms.Form):
    person = forms.ModelChoiceField(
        label="Who takes it",
        queryset=Person.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={"required": "Tap a name.", "invalid_choice": "Nobody here by that name has a PIN."},
    )
    pin = PinField(help_text="4 to 8 digits.", error_messages={"required": "Type the PIN."})

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = Person.objects.filter(is_active=True).exclude(pin="")


class GivePasswordForm(forms.Form):
    password = PasswordField(label="Your password", autocomplete="current-password")


class RolesField(forms.MultipleChoiceField):
    def __init__(self, **options):
        super().__init__(
            choices=[(role, ROLE_WORDS[role]) for role in ROLES],
            widget=forms.CheckboxSelectMultiple,
            error_messages={"required": "Choose at least one role."},
            **options,
        )

    def clean(self, value):
        return set(super().clean(value))


class PersonForm(forms.Form):
    """Name and roles of somebody who works here already."""

    full_name = forms.CharField(label="Name", max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    roles = RolesField(label="Works as")
    seen = forms.CharField(widget=forms.HiddenInput, max_length=32)


class NewPersonForm(forms.Form):
    full_name = forms.CharField(label="Name", max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    username = forms.CharField(
        label="Sign-in name",
        max_length=40,
        help_text="Small letters, digits, dots and dashes. It stays as it is.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
    )
    roles = RolesField(label="Works as")
    password = PasswordField(
        label="Password",
        required=False,
        autocomplete="new-password",
        help_text="At least 12 characters. Without one they sign in by PIN on a shared device only.",
    )
    pin = PinField(required=False, help_text="4 to 8 digits, for taking over a shared device.")


class SetPasswordForm(forms.Form):
    password = PasswordField(label="New password", autocomplete="new-password", help_text="At least 12 characters.")
    password_again = PasswordField(label="The same again", autocomplete="new-password")

    def clean(self):
        given = super().clean()
        if given.get("password") and given.get("password_again") and given["password"] != given["password_again"]:
            self.add_error("password_again", "The two passwords differ.")
        return given


class SetPinForm(forms.Form):
    pin = PinField(label="New PIN", required=False, help_text="4 to 8 digits. Empty takes the PIN away.")


class OwnPasswordForm(SetPasswordForm):
    old_password = PasswordField(label="Password until now", autocomplete="current-password")
    field_order = ["old_password", "password", "password_again"]


class OwnPinForm(SetPinForm):
    old_password = PasswordField(label="Your password", autocomplete="current-password")
    field_order = ["old_password", "pin"]
