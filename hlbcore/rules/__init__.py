"""Rules of the trade and of the law, each with its source."""
