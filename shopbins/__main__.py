"""Run the command line with `python -m shopbins`."""

import os
import sys

# -m looks for modules in the folder one is in first: that is a shop, somebody's data, not a place of programs.
if sys.path and sys.path[0] in ("", os.getcwd()) and not __file__.startswith(os.path.join(os.getcwd(), "")):  # noqa: PTH109, PTH118
    del sys.path[0]

from shopbins.cli import main

sys.exit(main())
