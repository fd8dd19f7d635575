"""Every small system of a shelf solved at once, what to buy, and the shelf itself."""
