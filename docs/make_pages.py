"""Write what the docs say that is made from the program's own tables: python docs/make_pages.py."""

from pathlib import Path

from shopbins.cli.page import commands_page
from shopbins.moves.page import with_tables as with_criteria
from shopbins.rules.page import page as rules_page
from shopbins.shop.page import with_tables as with_keys
from shopbins.tui.keys.actions import keys_page

DOCS = Path(__file__).parent


def main() -> None:
    """Write the pages of keys, commands and rules, and the tables of the shop file's and the moves' page."""
    made = {"keys.md": keys_page(), "commands.md": commands_page(), "rules.md": rules_page()}
    for name, with_tables in (("shop-file.md", with_keys), ("moves.md", with_criteria)):
        made[name] = with_tables((DOCS / name).read_text(encoding="utf-8"))
    for name, text in made.items():
        (DOCS / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
