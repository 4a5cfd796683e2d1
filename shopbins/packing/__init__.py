"""Rectangles on a surface: would they fit, after which shuffle, and proofs that they cannot."""
