"""Stage 2: which emulsifiers, in what ratio and how much, and what can be said of them."""
