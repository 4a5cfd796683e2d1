"""Codes as printed labels: layouts, symbols, drawing."""
