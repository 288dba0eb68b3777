"""Append-only tables: triggers that refuse an update or a delete, in SQLite and PostgreSQL."""

SQLITE = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END
"""
POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION wickturn_refuse() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END $$
"""
POSTGRES = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
FOR EACH ROW EXECUTE FUNCTION wickturn_refuse()
"""
VERBS = ("UPDATE", "DELETE")


def guard(schema_editor, *tables: str) -> None:
    """Put both triggers on each table. For use in migrations (and in tests, after a flush)."""
    postgres = schema_editor.connection.vendor == "postgresql"
    with schema_editor.connection.cursor() as cursor:
        if postgres:
            cursor.execute(POSTGRES_FUNCTION)
        for table in tables:
            for verb in VERBS:
                cursor.execute((POSTGRES if postgres else SQLITE).format(table=table, verb=verb))


def unguard(schema_editor, *tables: str) -> None:
    """Take the triggers off again: a migration's way back, and what a corrupting test needs."""
    on = "ON {table}" if schema_editor.connection.vendor == "postgresql" else ""
    with schema_editor.connection.cursor() as cursor:
        for table in tables:
            for verb in VERBS:
                cursor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb} " + on.format(table=table))


def present_triggers(connection) -> set[str]:
    """Names of the triggers in the database, in small letters. For the audit."""
    query = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        return {name.lower() for (name,) in cursor.fetchall()}
