"""Keeping a file as it is."""

from hashlib import sha256

from django.utils import timezone

from orders.models import KeptFile


def keep_file(*, name: str, media_type: str, content: bytes) -> KeptFile:
    """The file's bytes, kept once for all. Belongs inside the transaction of what it is kept for."""
    return KeptFile.objects.create(
        # A line break or a bar in a name would forge a header or a folder.
        name="".join(sign if sign.isprintable() and sign not in '/\\"' else "-" for sign in name)[-120:] or "file",
        media_type=media_type,
        content=content,
        sha256=sha256(content).hexdigest(),
        kept_at=timezone.now(),
    )
