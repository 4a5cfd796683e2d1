"""The places one can be in, one a file."""
