"""The page as typed and what follows from it."""
