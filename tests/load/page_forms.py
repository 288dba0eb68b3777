"""The forms of a page as a browser would send them, read from its HTML alone."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin

TICKED = ("checkbox", "radio")
NOT_SENT = ("submit", "button", "image", "reset", "file")


@dataclass
class PageForm:
    """Where a form goes, and every field with the values it would send untouched."""

    action: str
    method: str
    fields: dict[str, list[str]] = field(default_factory=dict)


class _Reader(HTMLParser):
    def __init__(self, path: str):
        super().__init__()
        self.path, self.forms = path, []
        self.select = self.textarea = self.first = None

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "form":
            action = urljoin(self.path, given.get("action") or "")
            self.forms.append(PageForm(action, (given.get("method") or "get").lower()))
        elif not self.forms:
            return
        elif tag == "input":
            self.put_input(given)
        elif tag == "select":
            self.select, self.first = given.get("name"), None
        elif tag == "option" and self.select:
            self.put_option(given)
        elif tag == "textarea":
            self.textarea = given.get("name")
            self.forms[-1].fields.setdefault(self.textarea, []).append("")

    def put_input(self, given: dict) -> None:
        name, kind = given.get("name"), given.get("type", "text")
        if not name or kind in NOT_SENT or (kind in TICKED and "checked" not in given):
            return
        self.forms[-1].fields.setdefault(name, []).append(given.get("value") or ("on" if kind in TICKED else ""))

    def put_option(self, given: dict) -> None:
        value, fields = given.get("value", ""), self.forms[-1].fields
        if "selected" in given:
            if self.first is not None:
                fields[self.select].remove(self.first)
                self.first = None
            fields.setdefault(self.select, []).append(value)
        elif self.select not in fields:
            # A list with nothing chosen sends its first choice.
            fields[self.select], self.first = [value], value

    def handle_data(self, data):
        if self.textarea:
            self.forms[-1].fields[self.textarea][-1] += data

    def handle_endtag(self, tag):
        if tag == "textarea" and self.textarea:
            # HTML drops the line break that begins a textarea.
            kept = self.forms[-1].fields[self.textarea]
            kept[-1] = kept[-1].removeprefix("\r\n").removeprefix("\n")
            self.textarea = None
        elif tag == "select":
            self.select = self.first = None


def forms_on(text: str, path: str) -> list[PageForm]:
    """Every form of the page at `path`, in its order."""
    reader = _Reader(path)
    reader.feed(text)
    return reader.forms
