"""A whole label worked out: its faces in their places; a strip as long as its place; checked all at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from shopbins.tags import TagError
from shopbins.tags.design import Design, design
from shopbins.tags.labels import Label
from shopbins.tags.layout import Face, Layout

SHORTEST_PIECE_MM = 60.0


@dataclass(frozen=True)
class Drawn:
    """One printed label: how wide it is, its faces with what stands on each, and what had to be shortened."""

    label: Label
    width_mm: float
    faces: tuple[tuple[Face, Design], ...]

    @cached_property
    def problems(self) -> tuple[str, ...]:
        """What had to be shortened or substituted, each once."""
        return tuple(dict.fromkeys(each for _, made in self.faces for each in made.problems))


def check(labels: Sequence[Label], layout: Layout, start: int = 1) -> tuple[list[Drawn], list[str]]:
    """Work every label out; the list names those left out as too full, then what had to be shortened.

    One label that does not go on does not stop the others; TagError where none goes on.
    """
    if not labels:
        raise TagError("no labels to print")
    layout.check_start(start)
    found: list[Drawn] = []
    wrong: list[str] = []
    for label in labels:
        try:
            found.extend(_drawn(label, layout))
        except TagError as error:
            wrong.extend(error.problems)
    if not found:
        raise TagError(*dict.fromkeys(wrong))
    left_out = [f"left out: {each}" for each in dict.fromkeys(wrong)]
    return found, [*left_out, *dict.fromkeys(problem for each in found for problem in each.problems)]


def _drawn(label: Label, layout: Layout) -> Iterator[Drawn]:
    if layout.form == "strip":
        yield from _strip(label, layout)
        return
    ends = ("A", "B") if layout.pairs and not label.end else (label.end,)
    for end in ends:
        one = replace(label, end=end) if end != label.end else label
        yield Drawn(one, layout.label_mm[0], _faces(one, layout, layout.all_faces))


def _faces(label: Label, layout: Layout, faces: Sequence[Face]) -> tuple[tuple[Face, Design], ...]:
    """Work out each face; those of one size say the same, so once is enough."""
    made: dict[tuple[tuple[float, float], str], Design] = {}
    for face in faces:
        key = face.inner_mm, face.shows
        if key not in made:
            made[key] = design(label, layout, face)
    return tuple((face, made[face.inner_mm, face.shows]) for face in faces)


def _strip(label: Label, layout: Layout) -> Iterator[Drawn]:
    """Divide a strip as long as its place into equal pieces no longer than the layout's label."""
    if label.along_mm is None:
        raise TagError(f"{label.code}: {layout.name} is for places and levels, which have a length")
    most, height = layout.label_mm
    count = max(1, math.ceil(label.along_mm / most - 1e-9))
    piece = label.along_mm / count
    if piece < SHORTEST_PIECE_MM:
        raise TagError(f"{label.code}: {label.along_mm:g} mm is too short for a strip ({layout.name})")
    if layout.endless:
        faces = [Face(at * piece, 0.0, piece, height) for at in range(count)]
        yield Drawn(label, label.along_mm, _faces(label, layout, faces))
        return
    whole = Drawn(label, piece, _faces(label, layout, [Face(0.0, 0.0, piece, height)]))
    yield from [whole] * count
