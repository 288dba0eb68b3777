"""Django's SQLite with a queue: writers wait their turn instead of polling for the lock in no order."""
