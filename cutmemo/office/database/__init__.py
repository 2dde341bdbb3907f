"""The office's database: the one place that speaks to PostgreSQL."""
