"""Letters that join and lines from right to left.

Forms: The Unicode Standard, 9.2 'Arabic', and the code charts of Arabic Presentation Forms-B. Order of a
line: UAX #9. Each line below was also set by HarfBuzz and FriBidi in the same font and gave the same picture.
"""

from __future__ import annotations

import pytest

from shopbins.tags.fonts import Shown, printable, runs, wide_faces
from shopbins.tags.scripts import in_order, joined


def everything(_form: str) -> bool:
    return True


@pytest.mark.parametrize(
    ("word", "forms"),
    [
        ("\u0645\u062d\u0645\u062f", "\ufee3\ufea4\ufee4\ufeaa"),  # initial, medial, medial, final
        ("\u0644\u0627", "\ufefb"),  # lam and alef are one
        ("\u0633\u0644\u0627\u0645", "\ufeb3\ufefc\ufee1"),  # which joins before itself, not behind
        ("\u0632\u064a\u062a", "\ufeaf\ufef3\ufe96"),  # zain joins nothing behind it
        ("\u0628\u064e\u0628", "\ufe91\u064e\ufe90"),  # a mark does not part two letters
    ],
)
def test_each_letter_has_the_form_of_its_place(word, forms):
    assert joined(word, everything) == forms


def test_a_form_no_font_has_is_the_letter_alone():
    assert joined("\u0645\u062d", lambda _: False) == "\u0645\u062d"
    assert joined("inlet valves \u0416", everything) == "inlet valves \u0416"


@pytest.mark.parametrize(
    ("written", "on_paper"),
    [
        ("rack a/3", "rack a/3"),
        ("\u05d0\u05d1\u05d2", "\u05d2\u05d1\u05d0"),
        ("\u05d0\u05d1 12 (\u05d2)", "(\u05d2) 12 \u05d1\u05d0"),  # numbers stay, brackets are mirrored
        ("rack a: \u05d0\u05d1", "rack a: \u05d1\u05d0"),
        ("\u05d0\u05d1 3 kg", "kg 3 \u05d1\u05d0"),
        ("\u05d0\u05d1 3,5", "3,5 \u05d1\u05d0"),
        ("\u05d0\u05b7\u05d1", "\u05d1\u05d0\u05b7"),  # a point stays with its letter
    ],
)
def test_a_line_stands_as_it_is_read(written, on_paper):
    assert in_order(written) == on_paper


def test_a_name_prints_in_forms_and_order_where_a_font_has_them():
    """With no such font every letter is reported, as before; never a wrong one in silence."""
    shown = printable("\u0645\u062d\u0645\u062f")
    if any("\ufee3" in face.widths for face in wide_faces()):
        assert shown == Shown("\ufee3\ufea4\ufee4\ufeaa")
        assert "".join(text for _, text in runs(shown.text, "TagBold")) == "\ufeaa\ufee4\ufea4\ufee3"
    else:
        assert set(shown.lost) == set("\u0645\u062d\u062f")


def test_a_script_that_is_put_together_otherwise_is_named_as_not_printable():
    assert set(printable("\u0915\u094d\u0937").lost) == set("\u0915\u094d\u0937")
