"""Somebody at the book over HTTP or the test client: opens pages, sends the forms that stand on them."""

import time
from abc import ABC, abstractmethod
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from tests.load.page_forms import PageForm, forms_on

Fields = dict[str, str | list[str]]
Files = dict[str, tuple[str, bytes]]  # field: (name of the file, its bytes)


class Gone(Exception):
    """The server went away before it answered: whether the work was done is not known."""


@dataclass(frozen=True)
class Answer:
    """`path` is where a redirect leads, else the address asked for. A redirect is not followed: it came after the
    commit, so it is the acknowledgement."""

    status: int
    text: str
    path: str

    @property
    def moved(self) -> bool:
        """Whether a form was taken: every act of the house answers with a redirect when it is done."""
        return self.status in (302, 303)

    def form(self, action: str = "") -> PageForm | None:
        """The POST form of this page that goes to `action` (to the page itself when none is named), if it is there."""
        wanted = action or self.path
        posts = (form for form in forms_on(self.text, self.path) if form.method == "post")
        return next((form for form in posts if urlsplit(form.action).path == urlsplit(wanted).path), None)


@dataclass
class Visitor(ABC):
    """`faults` are the answers no page may give; `took` the seconds of each request by its method.

    `tops` holds the highest order number and delivery key this visitor has met: all below them exist, so others' work
    is found without asking the book for lists.
    """

    name: str
    faults: list[str] = field(default_factory=list)
    took: dict[str, list[float]] = field(default_factory=lambda: {"GET": [], "POST": []})
    tops: dict[str, int] = field(default_factory=dict)
    words: int = 0

    def get(self, path: str) -> Answer:
        return self._noted("GET", path, lambda: self._get(path))

    def post(self, path: str, fields: Fields | None = None, files: Files | None = None) -> Answer:
        """Send a form; the CSRF token is put in where the fields hold none."""
        return self._noted("POST", path, lambda: self._post(path, fields or {}, files or {}))

    def send(self, page: Answer, action: str = "", **fields) -> Answer | None:
        """Send the page's own form to `action` with some fields filled in; None where the page has no such form."""
        if (form := page.form(action)) is None:
            return None
        return self.post(form.action, {**form.fields, **fields})

    def word(self) -> str:
        """A word nobody else says, to be found again in the book."""
        self.words += 1
        return f"{self.name}-{self.words}."

    def _noted(self, method: str, path: str, ask) -> Answer:
        began = time.perf_counter()
        answer = ask()
        self.took[method].append(time.perf_counter() - began)
        if answer.status >= 500:
            self.faults.append(f"{self.name}: {method} {path} gave {answer.status}")
        return answer

    @abstractmethod
    def _get(self, path: str) -> Answer: ...

    @abstractmethod
    def _post(self, path: str, fields: Fields, files: Files) -> Answer: ...
