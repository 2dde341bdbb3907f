"""What the work is made of: lengths, cuts, settings and what cannot be right. Pure."""
