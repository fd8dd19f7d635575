"""Stage 1: who counts where, and what an oil phase requires."""
