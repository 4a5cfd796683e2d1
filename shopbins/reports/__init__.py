"""The same answers as text, CSV and JSON."""
