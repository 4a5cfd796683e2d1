"""Make the tables of docs/moves.md anew from criteria and figures: python docs/make_moves.py."""

from pathlib import Path

from shopbins.moves.page import with_tables

if __name__ == "__main__":
    page = Path(__file__).with_name("moves.md")
    page.write_text(with_tables(page.read_text(encoding="utf-8")), encoding="utf-8")
