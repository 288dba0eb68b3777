"""Where a request comes from. Headers anybody can write are believed from the named proxy only."""

from ipaddress import ip_address

from django.conf import settings

FORWARDED_HEADERS = ("HTTP_X_FORWARDED_FOR", "HTTP_X_REAL_IP", "HTTP_FORWARDED", "HTTP_X_FORWARDED_HOST")


def client_address(request) -> str | None:
    """The address failures are counted for: the peer's, or behind the proxy the last one the proxy itself wrote."""
    if settings.BEHIND_PROXY:
        last = request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip()
        if _parsed(last):
            return last
    peer = request.META.get("REMOTE_ADDR", "")
    return peer if _parsed(peer) else None


def is_loopback(request) -> bool:
    """Whether the request was made on this very machine. One that was passed on counts as coming from outside."""
    if settings.BEHIND_PROXY or any(header in request.META for header in FORWARDED_HEADERS):
        return False
    peer = _parsed(request.META.get("REMOTE_ADDR", ""))
    if peer is None:
        return False
    return (getattr(peer, "ipv4_mapped", None) or peer).is_loopback


def keep_response(request, response, credentials=None):
    """For axes: the sign-in page itself says that the name is locked, with what was typed still in it."""
    return response


def _parsed(text: str):
    try:
        return ip_address(text)
    except ValueError:
        return None
