"""Every list, defined once: its columns, words and order. Text, CSV, JSON, PDF and screen rows come of it."""
