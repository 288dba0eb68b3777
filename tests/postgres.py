"""Where the throwaway server is made: config/throwaway_postgres.py."""

from config.throwaway_postgres import Cluster, free_port  # noqa: F401
