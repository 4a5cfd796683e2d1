"""The Move: does it go, on what, what comes first."""
