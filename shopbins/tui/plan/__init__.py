"""The Plan: the shop to scale, things carried and put down."""
