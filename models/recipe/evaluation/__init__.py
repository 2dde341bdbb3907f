"""Measures of how well a model hears, through the program's own hearing."""
