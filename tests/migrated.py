"""Where the migrated file is made: config/migrated.py."""

from config.migrated import copy_migrated, make_migrated_file, migrated_file  # noqa: F401
