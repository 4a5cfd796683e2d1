"""The Parts: every group, narrowed as one types."""
