"""A visitor over a real connection, as a browser is one: cookies, kept-alive, its own CSRF token."""

import http.client
import secrets
from http.cookies import SimpleCookie
from urllib.parse import urlencode, urlsplit

from tests.load.visitor import Answer, Fields, Files, Gone, Visitor

FORM = "application/x-www-form-urlencoded"
WAITS = 60.0  # seconds for one answer; longer than the book's own time-outs


class HttpVisitor(Visitor):
    """At `base` (http://127.0.0.1:8171), with the key of a session (World.sessions) or after sign_in()."""

    def __init__(self, base: str, name: str, session: str = ""):
        super().__init__(name)
        self.host, self.port = urlsplit(base).hostname, urlsplit(base).port
        self.cookies = {"sessionid": session} if session else {}
        self.line: http.client.HTTPConnection | None = None

    def sign_in(self, password: str) -> bool:
        self.get("/sign-in/")
        return self.post("/sign-in/", {"username": self.name, "password": password}).moved

    def close(self) -> None:
        if self.line:
            self.line.close()
            self.line = None

    def _get(self, path: str) -> Answer:
        return self._ask("GET", path, None, {})

    def _post(self, path: str, fields: Fields, files: Files) -> Answer:
        if "csrftoken" not in self.cookies:
            # Any token will do as long as cookie and field are the same.
            self.cookies["csrftoken"] = secrets.token_hex(16)
        fields = {"csrfmiddlewaretoken": self.cookies["csrftoken"], **fields}
        if files:
            boundary = secrets.token_hex(16)
            kind = f"multipart/form-data; boundary={boundary}"
            return self._ask("POST", path, _parts(fields, files, boundary), {"Content-Type": kind})
        return self._ask("POST", path, urlencode(fields, doseq=True).encode(), {"Content-Type": FORM})

    def _ask(self, method: str, path: str, body: bytes | None, headers: dict) -> Answer:
        headers["Cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        try:
            if self.line is None:
                self.line = http.client.HTTPConnection(self.host, self.port, timeout=WAITS)
            self.line.request(method, path, body, headers)
            got = self.line.getresponse()
            text = got.read().decode("utf-8", "replace")
        except (OSError, http.client.HTTPException) as lost:
            self.close()
            raise Gone(f"{method} {path}: {lost!r}") from lost
        for header in got.headers.get_all("Set-Cookie") or ():
            self.cookies |= {name: morsel.value for name, morsel in SimpleCookie(header).items()}
        return Answer(got.status, text, got.headers.get("Location") or path)


def _parts(fields: Fields, files: Files, boundary: str) -> bytes:
    """multipart/form-data, as RFC 7578 writes it."""
    rows = [
        (name, value) for name, values in fields.items() for value in ([values] if isinstance(values, str) else values)
    ]
    parts = [
        f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n' for name, value in rows
    ]
    body = "".join(parts).encode()
    for name, (file, data) in files.items():
        head = f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"; filename="{file}"\r\n'
        body += f"{head}Content-Type: application/octet-stream\r\n\r\n".encode() + data + b"\r\n"
    return body + f"--{boundary}--\r\n".encode()
