"""Moves: gear, forces, supports, floors and doorways for a heavy thing that is to go somewhere.

Everything is a pure function of plain values. Nothing is ever called safe: an answer says what was compared
with what, and that local rules and a competent rigger decide.
"""
