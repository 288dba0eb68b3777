import django_tables2 as tables

from config.domain.people import in_words
from config.models import Person


class PeopleTable(tables.Table):
    full_name = tables.Column(linkify=("person", {"pk": tables.A("pk")}), verbose_name="Name")
    works_as = tables.Column(empty_values=(), orderable=False)
    pin = tables.Column(empty_values=(), orderable=False, verbose_name="PIN")
    is_active = tables.Column(empty_values=(), verbose_name="Stands")

    class Meta:
        model = Person
        fields = ("full_name", "username", "works_as", "pin", "is_active")
        empty_text = "Nobody yet."

    def __init__(self, *args, locked: dict[str, list[str]], **kwargs):
        super().__init__(*args, **kwargs)
        self.locked = locked

    def render_works_as(self, record):
        return in_words(record.roles)

    def render_pin(self, record):
        return "has one" if record.pin else "none"

    def render_is_active(self, record):
        if not record.is_active:
            return "left"
        if record.username in self.locked:
            return "locked out from " + ", ".join(self.locked[record.username])
        return "may sign in" if record.has_usable_password() else "by PIN only"
