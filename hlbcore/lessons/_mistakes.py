"""The usual mistakes: what each is called, and the hint that helps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

HINTS: Mapping[str, str] = MappingProxyType(
    {
        "not divided by the oil phase": (
            "The sum was not divided by the oil phase. Add up the amounts of the oils alone and "
            "divide by that, not by 100 and not by the whole formula."
        ),
        "emulsifier counted as oil": (
            "The emulsifier was counted among the oils. It serves the oil phase and is no part of "
            "it: leave it out above and below the line."
        ),
        "ratio swapped": (
            "The two shares are swapped. The share of the higher emulsifier is the way from the "
            "lower one to the target, over the way from the lower to the higher: the nearer the "
            "target lies to an emulsifier, the more of that one."
        ),
        "% of the blend for % of the formula": (
            "That is the share of the blend. Multiply it by the total of the emulsifiers to get "
            "% of the formula."
        ),
        "% of the oil phase for % of the formula": (
            "That is still a percentage of the oil phase. Multiply it by the oil phase in % of the "
            "formula and divide by 100."
        ),
        "w/o value for o/w": (
            "A value for water-in-oil was used. An oil has two required HLBs, and here the "
            "one for oil-in-water is wanted."
        ),
        "required HLB for an emulsifier's own": (
            "A required HLB was read as an emulsifier's own HLB. The required HLB says what an oil "
            "asks for; the HLB says what an emulsifier brings. Keep the two apart."
        ),
        "emulsifier's own HLB for a required HLB": (
            "That is an emulsifier. Its HLB says what it brings, not what an oil asks for."
        ),
        "percent for grams": (
            "The percentage was taken as grams. Grams are the percentage times the batch, over 100."
        ),
        "two emulsifiers must add up": (
            "The HLBs of two emulsifiers are not added. A blend lies between its two members, and "
            "its reach ends at the higher one."
        ),
        "fraction for percent": (
            "That looks like a fraction where per cent are asked, or the other way round: 0.25 is 25 %."
        ),
        "plain mean": (
            "That is the plain mean. Weight each figure by its amount: more of one pulls the "
            "result towards it."
        ),
        "lowest for highest": (
            "That is the lowest of them. The higher the required HLB, the more the oil asks for an "
            "emulsifier that prefers water."
        ),
        "not the highest": "Compare the required HLBs again: another oil stands higher.",
        "whole division": (
            "A whole division is right for a tared amount, which is two readings. Here it is one, which "
            "rounding puts off by half a division at most."
        ),
        "grams for percent": (
            "That is half a division in grams. Divide it by the amount weighed, times 100."
        ),
        "share of the fatty side": (
            "That is the fatty side. The hydrophilic share counts: oxyethylene and polyol."
        ),
        "percent for HLB": "That is the percentage itself. Divide it by five.",
        "the 7 left out": "Davies' sum starts from 7. Add it.",
        "chain added": (
            "The carbon chain was added. Its group numbers are negative: each carbon takes 0.475 away."
        ),
        "old oil phase": (
            "That is the answer for the oil phase before the swap. Work out the new required HLB first."
        ),
        "limit for the total": (
            "That is the limit of one emulsifier. Divide it by that one's share of the blend to "
            "get the total."
        ),
        "vial number": ("That is the number of the vial. Look up the HLB that stands beside it."),
        "wrong end of the scale": (
            "That is the vial that separated most. The less water has separated, the better."
        ),
        "mixture for the oil": (
            "That is the optimum of the whole oil phase. Take away what the known oil asks for, "
            "and divide by the share of the unknown one."
        ),
        "known oil for the unknown": (
            "That is the figure of the known oil. It is what you take away; the new oil is what is left."
        ),
        "lower end of the reach": "That is where the reach begins. It ends at the higher of the two.",
        "share for the amount": (
            "That is the share of the blend. Times the total of the emulsifiers it gives the amount."
        ),
        "carboxyl carbon counted": (
            "The carbon of the head group was counted with the chain. It belongs to the head: count the "
            "chain alone."
        ),
        "o/w value for w/o": (
            "A value for oil-in-water was used. An oil has two required HLBs, and here the one for "
            "water-in-oil is wanted."
        ),
        "one emulsifier for both": (
            "That is the amount of one of the two. Divide it by its share to get both together."
        ),
        "planned for weighed": (
            "That is the HLB of the plan. Put the grams that were really weighed into the sum."
        ),
        "fatty side for the whole": (
            "The hydrophilic mass was set against the fatty side. Set it against the whole molecule."
        ),
        "HLB for another fault": (
            "Compare the two HLBs: they lie within the window, so the ratio of the pair is not it."
        ),
        "amount for another fault": ("The amount lies in what is usual. Look at what else the story tells."),
        "another fault for HLB": (
            "Compare the two HLBs first: they lie further apart than the window. That comes before all else."
        ),
        "another fault for the amount": (
            "Compare the amount with what is usual for so much oil: it lies below. That comes before "
            "the way of making."
        ),
        "optimum where there is none": (
            "A clear optimum needs a worse vial on both sides, and by more than the scatter. Look again."
        ),
        "no optimum where there is one": (
            "On both sides of the best vial it gets worse by far more than the scatter: that is an optimum."
        ),
        "another course": "Look at the ends first, then at how far the readings lie apart at all.",
        "shares left out": (
            "The shares were left out. Weight the known oil by its share before you take it away."
        ),
    }
)
"""Hint for each mistake, by its name. The first nine are those seen in print most; our list."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """A wrong answer that a usual mistake leads to in one exercise.

    Parameters
    ----------
    name : str
        One of `HINTS`.
    value : float or str
        What somebody who makes it would answer. [unit of the exercise]
    """

    name: str
    value: float | str

    @property
    def hint(self) -> str:
        """What to tell them."""
        return HINTS[self.name]
