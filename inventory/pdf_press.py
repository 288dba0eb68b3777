"""Many papers at once, made by processes of their own: the making of a PDF keeps one core busy and no other.

A process of the press is `python -m inventory.pdf_press`: a line of JSON in, the length and the bytes of a PDF out.
It ends when its input does, so none outlives the server that started it, however that ended.
"""

import json
import logging
import os
import subprocess
import sys
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Empty, SimpleQueue

HERE = Path(__file__).resolve().parent.parent
log = logging.getLogger(__name__)


def print_many(jobs: Sequence[tuple[str, dict]], *, hands: int = 2) -> list[bytes | None]:
    """The PDF of each (template, context), in their order, by so many processes; as inventory.printing makes them.

    A context is text, whole numbers, lists and dicts, as a paper freezes them. None where one could not be made: the
    caller tries it by itself and so learns why.
    """
    waiting, made = SimpleQueue(), [None] * len(jobs)
    for job in enumerate(jobs):
        waiting.put(job)
    with ThreadPoolExecutor(hands) as threads:
        for done in [threads.submit(_work_off, waiting, made) for _ in range(hands)]:
            done.result()
    return made


def _work_off(waiting: SimpleQueue, made: list[bytes | None]) -> None:
    command = [sys.executable, "-m", "inventory.pdf_press"]
    env = {"DJANGO_SETTINGS_MODULE": "config.settings", **os.environ}
    try:
        with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=HERE, env=env) as press:  # noqa: S603
            while True:
                try:
                    place, (template, context) = waiting.get_nowait()
                except Empty:
                    return
                made[place] = _ask(press, template, context)
    except OSError:
        log.exception("a process of the press is gone")


def _ask(press: subprocess.Popen, template: str, context: dict) -> bytes | None:
    press.stdin.write(json.dumps([template, context]).encode() + b"\n")
    press.stdin.flush()
    head = press.stdout.readline()
    if not head:
        raise BrokenPipeError("it answers no more")
    return press.stdout.read(int(head)) or None


def main() -> None:
    import django  # noqa: PLC0415 - only the process of the press sets it up

    django.setup()
    from inventory.printing import render_pdf  # noqa: PLC0415 - as above

    # Whatever prints something by itself must not fall among the bytes.
    answers, sys.stdout = sys.stdout.buffer, sys.stderr
    for line in sys.stdin.buffer:
        template, context = json.loads(line)
        try:
            pdf = render_pdf(template, context)
        except Exception:
            log.exception("%s could not be made", template)
            pdf = b""
        answers.write(b"%d\n" % len(pdf) + pdf)
        answers.flush()


if __name__ == "__main__":
    main()
