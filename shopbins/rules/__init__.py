"""The checks: one family a file, each with text, limit, source and remedy."""
