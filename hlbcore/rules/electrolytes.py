"""Salt, pH and charge: the figures behind the check, and which ingredients they concern.

Most are what one maker or chemist told of one product: where it failed, not a limit.
"""

from __future__ import annotations

from hlbcore._numbers import checked

WATER_PCT = 5.0
"""From here up there is a water phase that salt can disturb. [% of formula] Our convention."""

DIVALENT_PCT = 1.0
"""Divalent salt at which one o/w lotion failed. [% of formula] forum_magnesium_sulfate."""

SALT_PCT = 2.0
"""Salt at which one o/w emulsion, with 1 % lactic acid, failed. [% of formula] forum_lactic_acid:
2 % sodium lactate, with emulsifiers that bear little salt."""

WO_SALT_PCT = (1.0, 1.5)
"""Salt in w/o creams with silicone emulsifiers. [% of formula] forum_w_o_silicone_salt."""

SOAP_PH = 8.0
"""Soap emulsifiers need about this or more. [-] forum_stearic_triethanolamine."""

SOAP_PH_LEAST = 5.0
"""Creams with soap that passed three months at 45 °C and freeze-thaw stand at 5 to 6.5, two printed
formulas; below it soap is taken as lost. [-] Our convention."""

ACID_WORTH_PCT = 0.2
"""Less acid sets a pH. [% of formula] Our convention."""

SALT_WORTH_PCT = 0.1
"""Less salt beside a carbomer is not worth a word. [% of formula] Our convention."""

CHELATORS = ("disodium_edta", "tetrasodium_edta", "sodium_phytate", "sodium_gluconate")
"""Salts that are put in by hundredths of a per cent to bind metals, by id."""

ALKALI_PH = 8.0
"""Above this iron blues fade. [-] From memory."""

LACTYLATE_PH = 5.0
"""Low pH for a lactylate. [-] Our convention: forum_lactylate_ph says low pH, without a figure."""

CARBOMER_PH = 5.0
"""Below this a carbomer gel is thin. [-] From memory."""

NEUTRAL_PH = 7.0
"""Below it a product is acid. [-] Definition."""

HYDROXIDE_PER_CARBOMER = 0.4
"""Sodium hydroxide that neutralises one part of carbomer. [g/g] From memory."""

CHEMISTRY = "general chemistry, from memory"

DIVALENT = (
    "magnesium_sulfate",
    "magnesium_chloride",
    "calcium_chloride",
    "zinc_sulfate",
    "zinc_pca",
    "magnesium_ascorbyl_phosphate",
)
SALTS_OF_OTHER_KINDS = (
    *DIVALENT,
    "sodium_lactate",
    "sodium_pca",
    "sodium_ascorbyl_phosphate",
    "sodium_benzoate",
    "potassium_benzoate",
    "potassium_sorbate",
    "sodium_dehydroacetate",
    "sodium_levulinate",
    "sodium_anisate",
    "sodium_propionate",
    "sodium_formate",
)
"""Salts that stand in the tables as humectant, active or preservative, by id."""

SOAP_FAMILIES = ("soap", "glycerol ester with soap")
SOAP_IDS = ("polyglyceryl_4_stearate_and_potassium_olivate",)
"""Emulsifiers that hold soap."""

CATIONIC_PRESERVATIVES = (
    "benzalkonium_chloride",
    "benzethonium_chloride",
    "chlorhexidine",
    "chlorhexidine_diacetate",
    "chlorhexidine_digluconate",
    "chlorhexidine_dihydrochloride",
    "polyaminopropyl_biguanide",
    "ethyl_lauroyl_arginate_hcl",
    "quaternium_15",
)
CATIONIC_POLYMERS = ("guar_hydroxypropyltrimonium_chloride", "starch_hydroxypropyltrimonium_chloride")
ANIONIC_POLYMERS = (
    "carbomer",
    "sodium_carbomer",
    "sodium_polyacrylate",
    "xanthan_gum",
    "algin",
    "carrageenan",
    "cellulose_gum",
    "gellan_gum",
    "pectin",
    "acacia_gum",
    "tragacanth",
    "sodium_hyaluronate",
    "hyaluronic_acid",
    "magnesium_aluminum_silicate",
    "hectorite",
    "bentonite",
    "montmorillonite",
)
"""Charged preservatives, gums, polymers and swelling clays, by id. From memory."""

ACRYLIC = ("carbomer", "acrylates_c10_30_alkyl_acrylate_crosspolymer")
"""Thickeners that work only when a base neutralises them, by id."""

ACRYLIC_SALTS = ("sodium_carbomer", "sodium_polyacrylate")
"""The same, neutralised as bought."""

BASES = ("arginine", "sodium_carbonate", "sodium_bicarbonate")
"""Alkalis beside the kind base, by id."""

SPOILED_BY_ACID = {
    "ultramarines": "acid frees hydrogen sulfide from ultramarines",
    "mica_and_titanium_dioxide_and_ultramarines": "acid frees hydrogen sulfide from ultramarines",
    "zinc_oxide": "acid dissolves zinc oxide, and the zinc thins carbomer",
    "calcium_carbonate": "acid dissolves calcium carbonate with gas",
    "magnesium_carbonate": "acid dissolves magnesium carbonate with gas",
}
SPOILED_BY_ALKALI = {
    "ferric_ferrocyanide": "ferric ferrocyanide fades above about pH 8",
    "ferric_ammonium_ferrocyanide": "ferric ammonium ferrocyanide fades above about pH 8",
}
"""What acid or alkali spoils, by id. From memory, as remarks of the list of colours have it."""


def hydroxide_for(carbomer_pct: float) -> float:
    """Sodium hydroxide that neutralises a carbomer, as a start.

    Parameters
    ----------
    carbomer_pct : float
        Carbomer that is not neutralised as bought. [% of formula]

    Returns
    -------
    float
        By `HYDROXIDE_PER_CARBOMER`, from memory; the supplier's ratio rules. [% of formula]

    Examples
    --------
    >>> hydroxide_for(0.3)
    0.12
    """
    return HYDROXIDE_PER_CARBOMER * checked(carbomer_pct, "carbomer", low=0, high=100, unit="%")
