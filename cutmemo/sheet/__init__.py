"""The memo on paper and in files: a plain list, CSV and JSON out, JSON lines in."""

from cutmemo.sheet.sheets import as_csv, as_plain, as_text

__all__ = ["as_csv", "as_plain", "as_text"]
