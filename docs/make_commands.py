"""Write docs/commands.md from the commands: python docs/make_commands.py."""

from pathlib import Path

from shopbins.cli.page import commands_page

if __name__ == "__main__":
    Path(__file__).with_name("commands.md").write_text(commands_page(), encoding="utf-8")
