"""The office: the events of many sites in one PostgreSQL database, and what they come to."""
