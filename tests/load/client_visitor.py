"""A visitor without a network: the test client, in the thread or process that uses it."""

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.load.visitor import Answer, Fields, Files, Visitor


class ClientVisitor(Visitor):
    """Signed in by the key of a session (World.sessions). A page that fails answers 500 here, too.

    `says` begins the words it leaves in the book, so that they are this visitor's alone.
    """

    def __init__(self, name: str, session: str, says: str = ""):
        super().__init__(says or name)
        self.client = Client(raise_request_exception=False, SERVER_NAME="localhost")
        self.client.cookies["sessionid"] = session

    def _get(self, path: str) -> Answer:
        return self._answer(path, self.client.get(path))

    def _post(self, path: str, fields: Fields, files: Files) -> Answer:
        sent = {name: SimpleUploadedFile(file, data) for name, (file, data) in files.items()}
        return self._answer(path, self.client.post(path, {**fields, **sent}))

    def _answer(self, path: str, got) -> Answer:
        content = b"".join(got.streaming_content) if got.streaming else got.content
        return Answer(got.status_code, content.decode("utf-8", "replace"), got.headers.get("Location", path))
