"""One step a file, numbered."""
