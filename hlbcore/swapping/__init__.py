"""Stage 3: an ingredient goes out, others come in, the emulsifiers follow."""
