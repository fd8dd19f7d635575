"""Kept work: one file with every version, and the same as one open file."""
