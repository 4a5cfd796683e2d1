"""Putting things somewhere: judged and recorded in one go; the best places."""
