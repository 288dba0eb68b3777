"""The database backend: the house names it as ENGINE for every PostgreSQL (config/settings.py).

Each row's foreign keys are looked at when its transaction ends, in no order of ours, and FOR UPDATE stands in the way
of that: whoever opens lots from a sheet and whoever counts pairs in waited for each other at a candle, and PostgreSQL
broke one of them off. The house locks rows to be alone in changing them and never changes a key, so every lock is FOR
NO KEY UPDATE: it keeps other locks out as before and lets a key be looked at.
"""

from django.db.backends.postgresql import base, operations


class DatabaseOperations(operations.DatabaseOperations):
    def for_update_sql(self, nowait=False, skip_locked=False, of=(), no_key=False):
        return super().for_update_sql(nowait=nowait, skip_locked=skip_locked, of=of, no_key=True)


class DatabaseWrapper(base.DatabaseWrapper):
    ops_class = DatabaseOperations
