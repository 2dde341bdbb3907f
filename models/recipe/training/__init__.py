"""Trains the acoustic net by lattice-free MMI."""
