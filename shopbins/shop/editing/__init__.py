"""Changing the shop file where it is seen: single splices, merging with what others wrote, saving."""
