"""The health check: for whoever watches the servers, and no use to anybody else."""

import pytest
from django.conf import settings
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder

from config.views import health

HEALTH = "/health/"


@pytest.mark.django_db
def test_a_fit_server_says_so_to_anybody_under_any_name(client, django_assert_max_num_queries):
    health.known_migrations()
    with django_assert_max_num_queries(2):
        answer = client.get(HEALTH, headers={"host": "192.0.2.7:8000"})
    assert (answer.status_code, answer.content) == (200, b"ok\n")
    assert settings.SESSION_COOKIE_NAME not in answer.cookies
    assert "no-store" in answer["Cache-Control"]
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert client.head(HEALTH).status_code == 200
    assert client.post(HEALTH).status_code == 405


@pytest.mark.django_db
def test_it_is_not_sent_on_to_tls_as_pages_are(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    assert client.get(HEALTH).status_code == 200
    assert client.get("/sign-in/").status_code == 301


@pytest.mark.django_db
def test_a_session_is_not_even_looked_up(client_for, django_assert_max_num_queries):
    health.known_migrations()
    client = client_for("owner")
    with django_assert_max_num_queries(2) as asked:
        assert client.get(HEALTH).status_code == 200
    assert "session" not in str(asked.captured_queries)


@pytest.mark.django_db
def test_a_book_that_lacks_a_migration_is_unfit(client, caplog):
    MigrationRecorder(connection).record_unapplied("orders", "0001_initial")
    answer = client.get(HEALTH)
    assert (answer.status_code, answer.content) == (503, b"no\n")
    assert "1 migrations are not applied" in caplog.text


@pytest.mark.django_db
def test_a_book_that_a_newer_program_brought_up_to_date_is_unfit_for_this_one(client, caplog):
    MigrationRecorder(connection).record_applied("orders", "9999_of_next_year")
    assert client.get(HEALTH).status_code == 503
    assert "a newer Wickturn" in caplog.text


def test_a_database_that_does_not_answer_is_unfit_and_a_stranger_learns_no_more(client, caplog, monkeypatch):
    def refuse(recorder):
        raise OperationalError("connection to 192.0.2.9 refused for user wick")

    monkeypatch.setattr(MigrationRecorder, "applied_migrations", refuse)
    answer = client.get(HEALTH)
    assert (answer.status_code, answer.content) == (503, b"no\n")
    assert "OperationalError" in caplog.text
    assert "192.0.2.9" not in caplog.text


@pytest.mark.postgresql
@pytest.mark.django_db
def test_a_machine_that_lost_its_power_holds_no_locks_for_hours():
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('tcp_keepalives_idle'), current_setting('tcp_keepalives_count')")
        assert cursor.fetchone() == ("30", "3")
    assert connection.get_connection_params()["connect_timeout"] == 10
