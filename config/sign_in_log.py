"""Who came in and went out, for the log: by the person's number, never by name or address.

Wrong tries and locks are told by django-axes, masked, and kept by name and address in its table.
"""

import logging

from django.contrib.auth.signals import user_logged_in, user_logged_out
from django.dispatch import receiver

logger = logging.getLogger(__name__)


@receiver(user_logged_in)
def tell_sign_in(sender, request, user, **kwargs):
    how = "by PIN" if user.backend.endswith("PinBackend") else "by password"
    logger.info("Person %d signed in %s", user.pk, how)


@receiver(user_logged_out)
def tell_sign_out(sender, request, user, **kwargs):
    if user is not None:
        logger.info("Person %d signed out", user.pk)
