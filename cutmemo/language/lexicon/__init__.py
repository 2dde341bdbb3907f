"""The words of each language."""
