"""The demo: Ropewalk Shed and what has come off the workboat Harriet. All of it is invented.

The shop is `sample_shop.yaml` (at the top of the project, carried into the package by the build), the groups
are `groups.yaml`; `write_demo` writes both into a folder as a shop of one's own.
"""

from __future__ import annotations

from shopbins.demo.write import DemoProblem, write_demo

__all__ = ["DemoProblem", "write_demo"]
