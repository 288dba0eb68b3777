#!/usr/bin/env python3
"""The one way in: `python3 manage.py` says what there is, and the first run of anything sets it up."""

import sys

from config.bootstrap import main

if __name__ == "__main__":
    sys.exit(main(sys.argv))
