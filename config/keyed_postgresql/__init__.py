"""Django's PostgreSQL with row locks that leave keys alone."""
