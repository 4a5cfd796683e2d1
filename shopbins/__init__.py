"""Keyboard-driven keeping of a machine's parts in a workshop too small for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.version import VERSION

if TYPE_CHECKING:
    import os

    from shopbins.desk.scripting import OpenShop

__version__ = VERSION


def open(  # noqa: A001 - as one says it in a script: shopbins.open("shop.yaml")
    shop: str | os.PathLike[str],
    ledger: str | os.PathLike[str] | None = None,
    *,
    by: str | None = None,
    readonly: bool = False,
) -> OpenShop:
    """Open a shop and its ledger for a script; see docs/scripting.md and `desk/scripting.py`."""
    from shopbins.desk.scripting import OpenShop

    return OpenShop(shop, ledger, by=by, readonly=readonly)
