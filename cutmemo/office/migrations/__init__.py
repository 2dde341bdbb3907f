"""How the office's database came to its layout, one step a file (Alembic)."""
