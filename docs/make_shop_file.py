"""Make the tables of docs/shop-file.md anew from the table of keys: python docs/make_shop_file.py."""

from pathlib import Path

from shopbins.shop.page import with_tables

if __name__ == "__main__":
    page = Path(__file__).with_name("shop-file.md")
    page.write_text(with_tables(page.read_text(encoding="utf-8")), encoding="utf-8")
