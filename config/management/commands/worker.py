"""manage.py worker: does the book's tasks, one after the other, until it is stopped. `demo` and `serve` start one."""

import logging
import signal
import threading

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import InterfaceError, OperationalError
from django.utils.crypto import get_random_string
from django_tasks import DEFAULT_TASK_BACKEND_ALIAS
from django_tasks_db.management.commands.db_worker import Worker

from config.whole_copy.daily import keep_copies
from config.worker import end_with_parent
from orders.domain.post import send_waiting
from production.domain.dip_plan.lease import stop_orphans
from production.domain.dip_plan.run import get_ready, stopping

LOOKS_EVERY_S = 1.0
READY_AFTER_S = 15.0  # the server's first pages go before what may be needed later
KEEP_DAYS = 14
logger = logging.getLogger(__name__)


class FloorWorker(Worker):
    """The database's worker; asked to stop, it has the search in hand stop too instead of waiting for its end."""

    def shutdown(self, signum, frame):
        stopping.set()
        super().shutdown(signum, frame)


class Command(BaseCommand):
    # The server beside it has said what there is to say.
    requires_system_checks = []
    help = "Does what takes longer than a page may: searches for a dip plan."

    def add_arguments(self, parser):
        parser.add_argument("--once", action="store_true", help="do what waits now, and end")
        parser.add_argument("--beside-server", action="store_true", help="end when whoever started it does")
        parser.add_argument("--copies", action="store_true", help="keep a copy a day, as the one beside a server does")

    def handle(self, **options):
        if options["beside_server"]:
            end_with_parent()
            ready = threading.Timer(READY_AFTER_S, get_ready)
            ready.daemon = True
            ready.start()
        if options["beside_server"] or options["copies"]:
            settings.DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
            threading.Thread(target=keep_copies, args=[READY_AFTER_S], daemon=True).start()
        stop_orphans()
        # Letters that a crash left between their commit and the post.
        send_waiting()
        call_command("prune_db_task_results", min_age_days=KEEP_DAYS, verbosity=0)
        # That it ends with its server needs no warning at the terminal.
        logging.getLogger("django_tasks_db").setLevel(logging.ERROR)
        worker = FloorWorker(
            queue_names=["*"],
            excluded_queue_names=[],
            interval=LOOKS_EVERY_S,
            batch=options["once"],
            backend_name=DEFAULT_TASK_BACKEND_ALIAS,
            startup_delay=False,
            max_tasks=None,
            worker_id=get_random_string(32),
        )
        worker.configure_signals()
        if hasattr(signal, "SIGHUP"):
            signal.signal(signal.SIGHUP, worker.shutdown)
        try:
            worker.run()
        except (OperationalError, InterfaceError):
            logger.exception("The database went away, and the worker ends: whoever keeps it starts it again")
            raise SystemExit(1) from None
