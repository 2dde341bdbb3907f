"""Runs cutmemo as ``python -m cutmemo``."""

import sys

from cutmemo.cli import main

sys.exit(main())
