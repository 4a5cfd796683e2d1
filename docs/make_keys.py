"""Write docs/keys.md from the table of actions: python docs/make_keys.py."""

from pathlib import Path

from shopbins.tui.keys.actions import keys_page

if __name__ == "__main__":
    Path(__file__).with_name("keys.md").write_text(keys_page(), encoding="utf-8")
