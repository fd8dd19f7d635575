"""Figures that learn from bench ladders: one linear model over the tables and all ladders together."""
