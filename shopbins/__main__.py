"""Run the command line with `python -m shopbins`."""

import sys

from shopbins.cli import main

sys.exit(main())
