"""The whole formula as one object, its files, and lists that people paste."""
