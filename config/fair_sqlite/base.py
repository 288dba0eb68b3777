"""The database backend: the house names it as ENGINE for every SQLite file (config/settings.py)."""

import os
import re
import sqlite3

from django.db.backends.sqlite3 import base

from config.fair_sqlite.turn import Turn

# What takes SQLite's write lock. A transaction that begins DEFERRED takes none until it writes, and queues then.
WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|REPLACE|CREATE|DROP|ALTER|VACUUM|BEGIN (IMMEDIATE|EXCLUSIVE))", re.I)


class FairCursor(base.SQLiteCursorWrapper):
    def execute(self, query, params=None):
        return self._in_turn(super().execute, query, params)

    def executemany(self, query, param_list):
        return self._in_turn(super().executemany, query, param_list)

    def _in_turn(self, act, query, params):
        turn = self.connection.turn
        if turn is None:
            return act(query, params)
        if not turn.held and WRITES.match(query):
            turn.take()
        try:
            return act(query, params)
        finally:
            self.connection.settle()


class FairConnection(sqlite3.Connection):
    """Holds its turn from the first write to the end of the transaction; of a single write, as long as that lasts."""

    turn: Turn | None = None

    def settle(self) -> None:
        """Give the turn back where no transaction is open (any more)."""
        if self.turn and self.turn.held and not self.in_transaction:
            self.turn.give_back()

    def commit(self):
        super().commit()
        self.settle()

    def rollback(self):
        super().rollback()
        self.settle()

    def close(self):
        super().close()
        if self.turn:
            self.turn.close()


class DatabaseWrapper(base.DatabaseWrapper):
    def get_connection_params(self):
        return {**super().get_connection_params(), "factory": FairConnection}

    def get_new_connection(self, conn_params):
        connection = super().get_new_connection(conn_params)
        if self.file:
            connection.turn = Turn(self.file, conn_params.get("timeout", 5.0))
        return connection

    @property
    def file(self) -> str:
        """The database file, whichever way it was named; "" where it lies in memory or is named as a URI."""
        name = str(self.settings_dict["NAME"])
        return "" if self.is_in_memory_db() or name.startswith("file:") else os.path.realpath(name)

    def create_cursor(self, name=None):
        return self.connection.cursor(factory=FairCursor)
