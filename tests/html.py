"""Reads a page's HTML, so that a test can ask what stands on it."""

from html.parser import HTMLParser

from django.template import engines

VOID = {"meta", "link", "input", "br", "hr", "img"}


class Page(HTMLParser):
    """Elements of a page as (tag, attributes, text within); enough to ask what a page holds."""

    def __init__(self, html: str):
        super().__init__()
        self.elements, self.open = [], []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        element = {"tag": tag, "attrs": dict(attrs), "text": ""}
        self.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        self.open.remove(self.elements[-1])

    def handle_data(self, data):
        for element in self.open:
            element["text"] += data

    def handle_endtag(self, tag):
        while self.open and self.open.pop()["tag"] != tag:
            pass

    def all(self, tag: str, **attrs):
        wanted = {name.rstrip("_").replace("_", "-"): value for name, value in attrs.items()}
        return [e for e in self.elements if e["tag"] == tag and wanted.items() <= e["attrs"].items()]

    def one(self, tag: str, **attrs):
        found = self.all(tag, **attrs)
        assert len(found) == 1, f"{len(found)} of <{tag} {attrs}>"
        return found[0]


def build(source: str, request=None, **context) -> Page:
    return Page(engines["django"].from_string(source).render(context, request))
