"""Writes down each row of the house that changes, so that a refusal can be held to have changed none.

Triggers write it, in the transaction that changes the row: what was rolled back is not on the list.
"""

from collections import Counter

from django.apps import apps
from django.db import connection

from config.whole_copy.rows import tables

LOG = "fuzz_changed"
FUNCTION = f"""
CREATE FUNCTION {LOG}_note() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN INSERT INTO {LOG} (name) VALUES (TG_TABLE_NAME || ' ' || lower(TG_OP)); RETURN NULL; END $$
"""


def watch_the_book() -> None:
    """Within a transaction that is rolled back in the end; before any row is written in it."""
    on_postgresql = connection.vendor == "postgresql"
    with connection.cursor() as cursor:
        key = "bigserial" if on_postgresql else "integer"
        cursor.execute(f"CREATE TABLE {LOG} (id {key} PRIMARY KEY, name text NOT NULL)")
        if on_postgresql:
            cursor.execute(FUNCTION)
        for table in sorted(model._meta.db_table for model in tables(apps)):
            if on_postgresql:
                cursor.execute(
                    f"CREATE TRIGGER {LOG} AFTER INSERT OR UPDATE OR DELETE ON {table} "
                    f"FOR EACH ROW EXECUTE FUNCTION {LOG}_note()"
                )
                continue
            for verb in ("insert", "update", "delete"):
                cursor.execute(
                    f"CREATE TRIGGER {LOG}_{table}_{verb} AFTER {verb} ON {table} "
                    f"BEGIN INSERT INTO {LOG} (name) VALUES ('{table} {verb}'); END"
                )


def last_change() -> int:
    """A number that grows with each row changed for good, and with nothing else."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT coalesce(max(id), 0) FROM {LOG}")
        return cursor.fetchone()[0]


def changed_since(number: int) -> Counter:
    """Which tables changed how, and how many rows, since `last_change` gave that number."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT name FROM {LOG} WHERE id > %s", [number])
        return Counter(name for (name,) in cursor.fetchall())
