"""Equations of physics with their sources.

- `fat_figures`: figures of one fat by itself
- `fats`: solids, melting range, density, iodine value and composition of a fat phase
"""

from hlbcore.physics.fat_figures import Figure
from hlbcore.physics.fats import FatPhase, fat_phase

__all__ = ["FatPhase", "Figure", "fat_phase"]
