"""The widgets, one a file."""
