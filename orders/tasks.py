"""What the worker does for orders, beside the pages."""

from django_tasks import task

from orders.domain.post import send_letter


@task(priority=10)
def post_letter(pk: int) -> bool:
    """Send one waiting letter, its papers' PDFs made on the way; True when it went."""
    return send_letter(pk)
