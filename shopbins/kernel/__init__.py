"""Questions about a crowded floor: where it can stand, whether it goes, what is narrowest, what to shift."""
