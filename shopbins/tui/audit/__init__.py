"""The Audit: what was found, worst first."""
