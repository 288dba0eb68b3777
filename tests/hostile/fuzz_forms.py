"""Reads every form of a page as a browser would: where it goes, its fields, and what it sends untouched. A link that
asks something (?week=...) is read as a form, too."""

from dataclasses import dataclass, field, replace
from html.parser import HTMLParser
from urllib.parse import parse_qsl, urljoin, urlsplit

VOID = {"meta", "link", "input", "br", "hr", "img"}
SENT_BY_NOBODY = {"button", "reset", "image"}
# The test client needs no seal; tests/hostile/test_doors.py asks for it.
NOT_DRAWN = {"", "csrfmiddlewaretoken"}


@dataclass
class Field:
    """One control. `untouched` is what it sends as the page stands; `choices` what else a browser could send."""

    name: str
    kind: str  # an input's type, "select" or "textarea"
    keypad: str = ""  # inputmode
    untouched: list[str] = field(default_factory=list)
    choices: list[str] = field(default_factory=list)


@dataclass
class Form:
    method: str
    action: str
    fields: list[Field] = field(default_factory=list)
    # name, value, where this button sends the form.
    buttons: list[tuple[str, str, str]] = field(default_factory=list)
    parts: bool = False  # multipart


class Forms(HTMLParser):
    """`forms` of the page at `address`, controls beside a form (form="id") among them."""

    def __init__(self, html: str, address: str):
        super().__init__()
        self.address, self.by_id, self.forms = address, {}, []
        self.inside = self.select = self.text = None
        self.lists: dict[str, list[str]] = {}
        self.listing, self.beside, self.suggested, self.links = "", [], [], []
        self.feed(html)
        for form_id, control in self.beside:
            if form := self.by_id.get(form_id):
                self.put(form, *control)
        for control, name in self.suggested:
            control.choices += self.lists.get(name, [])

    def handle_starttag(self, tag, attrs):
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = Form(
                said.get("method", "get").lower(), urljoin(self.address, said.get("action") or self.address)
            )
            self.inside.parts = said.get("enctype") == "multipart/form-data"
            self.forms.append(self.inside)
            self.by_id[said.get("id")] = self.inside
        elif tag == "a" and "?" in said.get("href", ""):
            self.link(urlsplit(urljoin(self.address, said["href"])))
        elif tag == "datalist":
            self.listing = said.get("id", "")
        elif tag == "option":
            self.option(said)
        elif tag in {"input", "select", "textarea", "button"} and "disabled" not in said:
            self.control(tag, said)

    def handle_endtag(self, tag):
        if tag == "form":
            self.inside = None
        elif tag == "datalist":
            self.listing = ""
        elif tag == "select":
            self.close_select()
        elif tag == "textarea":
            self.text = None

    def handle_data(self, data):
        if self.text is not None:
            # A browser drops the first end of line after the tag.
            self.text.untouched[0] += data if self.text.untouched[0] else data.removeprefix("\n")

    def control(self, tag, said):
        kind = tag if tag in {"select", "textarea", "button"} else said.get("type", "text")
        if said.get("form"):
            self.beside.append((said["form"], (kind, said)))
        elif self.inside:
            self.put(self.inside, kind, said)

    def link(self, to) -> None:
        asked = parse_qsl(to.query, keep_blank_values=True)
        if not to.netloc and asked and (to.path, asked) not in self.links:
            self.links.append((to.path, asked))
            fields = [Field(name, "text", untouched=[value]) for name, value in asked]
            self.forms.append(Form("get", to.path, fields))

    def put(self, form: Form, kind: str, said: dict[str, str]) -> None:
        name, value = said.get("name", ""), said.get("value", "")
        if kind in {"button", "submit"}:
            if said.get("type", "submit") == "submit":
                form.buttons.append((name, value, urljoin(self.address, said.get("formaction") or form.action)))
            return
        if name in NOT_DRAWN or kind in SENT_BY_NOBODY:
            return
        control = Field(name, kind, said.get("inputmode", ""))
        form.fields.append(control)
        if kind in {"checkbox", "radio"}:
            control.choices = [value or "on"]
            control.untouched = [value or "on"] if "checked" in said else []
        elif kind == "select":
            self.select = control
        elif kind == "textarea":
            control.untouched, self.text = [""], control
        else:
            control.untouched = [] if kind == "file" else [value]
        if said.get("list"):
            self.suggested.append((control, said["list"]))

    def option(self, said):
        value = said.get("value", "")
        if self.listing:
            self.lists.setdefault(self.listing, []).append(value)
        elif self.select is not None:
            self.select.choices.append(value)
            if "selected" in said:
                self.select.untouched.append(value)

    def close_select(self):
        if self.select is not None and not self.select.untouched:
            self.select.untouched = self.select.choices[:1]
        self.select = None


def forms_of(html: str, address: str) -> list[Form]:
    """The page's forms; one whose buttons send it to several places is one for each."""
    found = []
    for form in Forms(html, address).forms:
        for action in dict.fromkeys(to for *_, to in form.buttons) or [form.action]:
            found.append(replace(form, action=action, buttons=[one for one in form.buttons if one[2] == action]))
    return found
