"""Which tables a database has: those of today, or of the last migration of each app that it has had."""

from django.apps import apps as todays
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from config.whole_copy.rows import HOUSE


class NewerBook(Exception):
    """A newer Wickturn has been here: this one knows neither all its tables nor its rules."""

    def __init__(self, migrations: list[str]):
        super().__init__(
            f"A newer Wickturn brought this book up to date ({', '.join(migrations)}): use that one, or restore a "
            "copy made before it."
        )


def leaves_applied() -> dict[str, str]:
    """The last migration of each app of the house that this database has had; of a bare one nothing."""
    loader = MigrationLoader(connection)
    applied, graph = set(loader.applied_migrations), loader.graph
    return {
        app: name
        for app, name in graph.nodes
        if app in HOUSE
        and (app, name) in applied
        and not any(child.key[0] == app and child.key in applied for child in graph.node_map[app, name].children)
    }


def apps_at(leaves: dict[str, str]):
    """The models as they were after these migrations. They have fields and tables, and nothing that was written for
    them."""
    loader = MigrationLoader(connection)
    if set(leaves.items()) == {node for node in loader.graph.leaf_nodes() if node[0] in HOUSE}:
        return todays
    return loader.project_state(list(leaves.items())).apps


def refuse_newer_book() -> None:
    """NewerBook where this database has had migrations that this Wickturn does not know."""
    loader = MigrationLoader(connection)
    ours = [node for node in loader.applied_migrations if node[0] in HOUSE]
    if newer := sorted(" ".join(node) for node in ours if node not in loader.graph.nodes):
        raise NewerBook(newer)
