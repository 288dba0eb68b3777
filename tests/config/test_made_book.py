"""The throw-away book of a measure: empty and migrated, seen by its threads and processes, and gone afterwards."""

import subprocess
import sys
from threading import Thread

from django.conf import settings
from django.db import connection

from config.measure.book import made_book
from config.models import Person


def test_a_book_of_its_own(django_db_blocker):
    seen, before = [], connection.settings_dict["NAME"]
    with django_db_blocker.unblock(), made_book(COPIES="elsewhere") as book:
        Person.objects.create(username="owen", full_name="Owen", owner=True)
        assert connection.settings_dict["NAME"] == str(book.path)
        assert book.folder == settings.DATA_DIR
        assert settings.COPIES == "elsewhere"

        def count():
            seen.append(Person.objects.count())
            connection.close()

        thread = Thread(target=count)
        thread.start()
        thread.join()
        asked = "import django; django.setup(); from config.models import Person; print(Person.objects.get().username)"
        env = {**book.env, "DJANGO_SETTINGS_MODULE": "config.settings"}
        done = subprocess.run([sys.executable, "-c", asked], env=env, capture_output=True, text=True, check=True)
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA synchronous")
            assert cursor.fetchone() == (2,)
    assert seen == [1]
    assert done.stdout.strip() == "owen"
    assert connection.settings_dict["NAME"] == before
    assert book.folder != settings.DATA_DIR
    assert not book.folder.exists()
