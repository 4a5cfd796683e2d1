"""Run the command line with `python -m shopbins`."""

import os
import sys

# -m looks for modules in the folder one is in first: that is a shop, somebody's data, no place of programs.
here = os.getcwd()  # noqa: PTH109
if sys.path and sys.path[0] in ("", here) and not __file__.startswith(here + os.sep):
    del sys.path[0]

from shopbins.cli import main  # noqa: E402 - only now

sys.exit(main())
