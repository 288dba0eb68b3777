"""Names locked out after too many failures, as django-axes counts them: by name and address together."""

from collections import defaultdict
from datetime import timedelta

from axes.handlers.proxy import AxesProxyHandler
from axes.models import AccessAttempt
from django.conf import settings
from django.db.models import Sum
from django.utils import timezone

from config.addresses import client_address


def locked_addresses(usernames=None) -> dict[str, list[str]]:
    """For each locked name the addresses it is locked from, sorted; of all names, or of those given. One query."""
    since = timezone.now() - timedelta(hours=settings.AXES_COOLOFF_TIME)
    attempts = AccessAttempt.objects.filter(attempt_time__gte=since)
    if usernames is not None:
        attempts = attempts.filter(username__in=usernames)
    # One address may try with several browsers; the lock adds them up, and so does this.
    counted = attempts.values("username", "ip_address").annotate(failures=Sum("failures_since_start"))
    locked = defaultdict(list)
    for row in counted.filter(failures__gte=settings.AXES_FAILURE_LIMIT).order_by("ip_address"):
        locked[row["username"]].append(row["ip_address"] or "an unknown address")
    return dict(locked)


def lift_locks(username: str) -> int:
    """Forget the failures of a name from every address; how many rows of them there were."""
    return AxesProxyHandler.reset_attempts(username=username)


def forget_failures(request, username: str) -> None:
    """After a right password that starts no session: the failures before it from this address count no more."""
    AxesProxyHandler.reset_attempts(username=username, ip_address=client_address(request))
