"""One open shop with its ledger, shared by the screen and the command line."""

from shopbins.desk.desk import Desk
from shopbins.desk.problems import BadInput, DeskError, NotDone, StorageFailed

__all__ = ["BadInput", "Desk", "DeskError", "NotDone", "StorageFailed"]
