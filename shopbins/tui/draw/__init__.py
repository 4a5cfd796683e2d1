"""The screen Draw: the shop file changed where it is seen."""
