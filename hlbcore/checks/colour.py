"""Colour additives: listed or not, where on the body, limits, certification, mixtures.

=========  ====================================================================================
inputs     lines [% of formula], their names and notes, area of use
rule       each list in `colours.RULE_SETS`: use by area, limit, lot certificate; a mixture goes
           by its strictest part; neon pigments and plant powders by purpose
source     sections of the law in the list, what was seen and what is from memory beside them
levels     not listed, not there, over a limit: stop; lot, purpose or name unknown: caution; else
           note
mend       the amount that meets the limit; else what to replace, to ask or to write down
=========  ====================================================================================
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.rules import colours
from hlbcore.rules.colour_table import Colour
from hlbcore.rules.colours import RuleSet

ASSESSOR = "The current text of the law decides; ask a qualified safety assessor."
PLACES = {"body": "the body", "face": "the face", "lips": "the lips", "eye area": "the eye area"}
CLAIM_IDS = ("spirulina_powder", "turmeric_powder", "beet_root_powder", "paprika_powder")
"""Food colours: put in for hardly anything but colour; common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Held:
    """A line with what one list says of it."""

    seen: Counted
    rows: tuple[Colour, ...]

    @property
    def name(self) -> str:
        return self.seen.name


def colour(view: Worked) -> list[Finding]:
    """What each list of colour additives says of the colours of a formula.

    Parameters
    ----------
    view : Worked
        A finished product; portions come one by one.

    Returns
    -------
    list of Finding
        Empty where nothing is there for its colour.
    """
    found: list[Finding] = []
    for rules in (load() for load in colours.RULE_SETS):
        found += _by_rules(view, rules)
    if found:
        found.append(
            Finding(
                "note",
                "Colours: the EU has a list of its own",
                "What is listed in the US may not be in the EU, and the other way round; this tool "
                "does not hold the EU list.",
                rule=colours.EU_RULE,
                mend="For a sale in the EU look up each CI number in Annex IV.",
                aside=True,
            )
        )
    return found


def _by_rules(view: Worked, rules: RuleSet) -> list[Finding]:
    found: list[Finding] = []
    held: list[_Held] = []
    for s in view.lines:
        if s.pct <= 0:
            continue
        rows = _rows_of(s, rules)
        if any(not c.listed and c.external == "no" and len(c.ids) > 1 for c in rows):
            found.append(_purpose(s))
        elif rows:
            held.append(_Held(s, rows))
        elif unlisted := _unlisted(s, rules, view.library.ingredients):
            found.append(unlisted)
    for h in held:
        found += _permission(h, view.facts.area, rules)
        if any(c.certified for c in h.rows):
            found.append(_certificate(h))
    found += _limits(view, held, rules)
    found += _mixtures(view, held, rules)
    over = {f.title.partition(":")[0] for f in found if ": over the limit" in f.title}
    if fine := [h for h in held if _use(h, view.facts.area) == "yes" and not over & {c.name for c in h.rows}]:
        found.append(_listed(fine, view.facts.area, rules))
    return found


def _rows_of(s: Counted, rules: RuleSet) -> tuple[Colour, ...]:
    if s.ingredient is None:
        joined = colours.is_mixture(s.name)
        return (
            ()
            if joined and len(rules.parts(s.name)) < 2
            else (rules.parts(s.name) if joined else rules.find(s.name))
        )
    row = rules.of_ingredient(s.ingredient.id)
    if row is not None:
        return (row,)
    if colours.is_mixture(s.ingredient.inci) and s.kind == "colour":
        return rules.parts(s.ingredient.inci)
    return ()


def _use(held: _Held, area: str) -> str:
    return colours.strictest(held.rows, area)


def _figure(s: Counted) -> str:
    return f"{s.pct:.3g} % of the formula"


def _known(c: Colour) -> str:
    """Section and how well the row is known."""
    said = {"seen": "seen", "part seen": "partly from memory", "memory": "from memory"}[c.grade]
    return f"{c.section}, {said} ({c.source})"


def _unlisted(s: Counted, rules: RuleSet, known: Collection[str]) -> Finding | None:
    """A line outside the list that is there for its colour, or may be."""
    says = f"{s.name} {s.line.note}"
    # a name that says colour or mica and nothing more: which colour it holds is not known
    by_kind = s.kind == "colour" and s.key not in known
    of_fragrance = s.kind in ("fragrance", "essential oil")
    if not of_fragrance and colours.SAYS_NEON.search(says):
        return Finding(
            "stop",
            f"{s.name}: neon and fluorescent pigments are not listed",
            f"The {rules.place} list holds a few fluorescent dyes, each by name and for its own "
            "uses; pigments sold as neon have no listing.",
            _figure(s),
            f"{rules.rule}; {colours.NEON_RULE}",
            "Take it out, or name the listed colour that it is.",
        )
    if (s.ingredient is None or by_kind) and colours.SAYS_GLITTER.search(says):
        return Finding(
            "stop",
            f"{s.name}: glitter as a colour is not listed",
            "Most colourants inside plastic glitter have no listing; the EU bans loose plastic glitter.",
            _figure(s),
            f"{rules.rule}; the rest from memory",
            "Use listed mica instead, or get the supplier's statement for each part.",
        )
    if s.kind == "colour" and not by_kind:
        return Finding(
            "stop",
            f"{s.name}: not in the {rules.place} list",
            "A colour without a listing for cosmetics makes the product adulterated.",
            _figure(s),
            f"{rules.rule} (fda_colour_fact_sheet)",
            "Replace it by a listed colour.",
        )
    if by_kind or (s.ingredient is None and colours.SAYS_COLOUR.search(says)):
        return Finding(
            "caution",
            f"{s.name}: an unknown colour",
            f"The name is not in the {rules.place} list, so nothing can be said of its uses; a "
            "colour that is not listed is not permitted.",
            _figure(s),
            f"{rules.rule} (fda_colour_fact_sheet)",
            "Ask the supplier for the CI number or US name of every part, and enter these; a "
            "bought mixture as a blend with its parts.",
        )
    if s.ingredient is not None and colours.SAYS_COLOUR.search(s.line.note):
        return _purpose(s)
    return None


def _purpose(s: Counted) -> Finding:
    """A powder or a plant part that is no listed colour: the purpose decides."""
    meant = bool(colours.SAYS_COLOUR.search(s.line.note))
    if s.ingredient is not None and s.ingredient.id in CLAIM_IDS:
        meant = True
    return Finding(
        "caution" if meant else "note",
        f"{s.name}: not a listed colour",
        "Put in for its colour it would make the product adulterated in the US; with another real "
        "purpose it may stay. A label or an advert that calls it a colour invites action.",
        _figure(s),
        colours.PURPOSE_RULE,
        "For colour take a listed one. Otherwise write its purpose into the note of the line, and "
        "say nothing of colour on the label.",
    )


def _permission(held: _Held, area: str, rules: RuleSet) -> list[Finding]:
    """What is not plainly permitted where the product is used."""
    use = _use(held, area)
    worst = [c for c in held.rows if c.use(area) == use]
    row = worst[0]
    place = PLACES[area]
    if use == "yes":
        return []
    said = f"{row.name}: {row.note}." if row.note else f"{row.name}."
    through = f" It is a part of {held.name}." if len(held.rows) > 1 else ""
    rule = _known(row)
    only = f" The section names: {row.only_for}." if row.only_for else ""
    if use == "ask":
        return [
            Finding(
                "caution",
                f"{held.name}: the supplier's statement is missing",
                f"{said}{through}",
                _figure(held.seen),
                f"{rules.rule}; {rule}",
                f"Ask the supplier for a written statement on use in the {rules.place}.",
            )
        ]
    if use in ("named", "makeup"):
        return [
            Finding(
                "caution",
                f"{held.name}: only for the products that its section names",
                f"{said}{only}{through}",
                _figure(held.seen),
                rule,
                "If this product is none of them, replace it by a colour that is listed "
                f"for {place}. {ASSESSOR}",
            )
        ]
    if not row.listed:
        title = f"{held.name}: not listed for cosmetics in the {rules.place}"
        detail = f"{said} A colour without a listing makes the product adulterated.{through}"
    else:
        title = f"{held.name}: not permitted on {place}"
        detail = f"{said} The section does not cover {place}.{only}{through}"
    more = {"lips": colours.LIP_RULE, "eye area": colours.EYE_RULE}.get(area, "")
    others = [
        c.name
        for c in rules.colours
        if len(c.ids) == 1 and c.use(area) == "yes" and c.certified == row.certified
    ]
    return [
        Finding(
            "stop",
            title,
            detail,
            _figure(held.seen),
            "; ".join(filter(None, (rules.rule, rule, more if row.listed else ""))),
            f"Replace it; listed for {place} are {', '.join(others[:4])} and others. {ASSESSOR}",
        )
    ]


def _certificate(held: _Held) -> Finding:
    lot = colours.LOT.search(held.seen.line.note)
    row = next(c for c in held.rows if c.certified)
    if lot:
        return Finding(
            "note",
            f"{held.name}: certified colour, lot {lot[1]}",
            "The lot number is written down; whether it is that of an FDA certificate is for you to see.",
            _figure(held.seen),
            f"{_known(row)}; {colours.CERTIFICATE_RULE}",
            "Keep the certificate with the batch record; it holds for the closed package.",
        )
    return Finding(
        "caution",
        f"{held.name}: the FDA lot certificate is missing",
        "A certified colour may be used only from a lot that FDA certified; food-dye bottles, "
        "repacked and home-made dyes do not count.",
        _figure(held.seen),
        f"{_known(row)}; {colours.CERTIFICATE_RULE}",
        "Ask the supplier for the FDA lot number and write 'lot ...' into the note of the line.",
    )


def _limits(view: Worked, held: list[_Held], rules: RuleSet) -> list[Finding]:
    """Sums of each colour against its limit where the product is used."""
    sums: dict[Colour, list[Counted]] = {}
    for h in held:
        for row in h.rows if len(h.rows) == 1 else ():
            sums.setdefault(row, []).append(h.seen)
    found = []
    for row, lines in sums.items():
        limit = row.limit_at(view.facts.area)
        if limit is None:
            continue
        pct = math.fsum(s.active for s in lines)
        over = pct > limit * (1 + 1e-9)
        found.append(
            Finding(
                "stop" if over else "note",
                f"{row.name}: {'over' if over else 'within'} the limit of its section",
                f"{pct:.3g} % of the formula as pure colour; at most {limit:g} % ({row.limit}). "
                + (
                    f"The listing covers no more than that: {rules.rule}."
                    if over
                    else "The active part of the lines is counted; a lake holds less."
                ),
                f"{pct:.3g} % of {limit:g} %",
                _known(row),
                f"Bring it to {limit:g} % or less: {pct - limit:.3g} % less." if over else "",
            )
        )
    return found


def _mixtures(view: Worked, held: list[_Held], rules: RuleSet) -> list[Finding]:
    """Bought mixtures of colours, and mica of which only the name is known."""
    area = view.facts.area
    blends = {c.name: c for c in view.made.blend_list}
    mixed: dict[str, tuple[tuple[Colour, ...], float]] = {
        h.name: (h.rows, h.seen.pct)
        for h in held
        if len(h.rows) > 1
        and (colours.is_mixture(h.name) or (h.seen.ingredient and colours.is_mixture(h.seen.ingredient.inci)))
    }
    for bought in view.bought:
        blend = blends.get(bought.name)
        if blend is None or bought.pct <= 0:
            continue
        rows = tuple(
            h.rows[0] for h in held if h.seen.is_part and h.seen.number == bought.number and len(h.rows) == 1
        )
        if len(rows) > 1:
            mixed[bought.name] = (rows, bought.pct)
    found = []
    for name, (rows, pct) in mixed.items():
        use = colours.strictest(rows, area)
        strict = [c.name for c in rows if c.use(area) == use]
        said = "all parts are listed there" if use == "yes" else f"it is held back by {strict[0]}"
        found.append(
            Finding(
                "note",
                f"{name}: a mixture is a colour of its own",
                f"Parts: {', '.join(c.name for c in rows)}. It may be used only where its "
                f"strictest part may; for {PLACES[area]}, {said}.",
                f"{pct:.3g} % of the formula",
                colours.MIXTURE_RULE,
                "Name every part on the label, and ask the supplier for the share of each.",
            )
        )
    for h in held:
        alone = h.seen.ingredient is not None and h.seen.ingredient.id == "mica"
        if alone and not h.seen.is_part:
            found.append(
                Finding(
                    "note",
                    f"{h.name}: say whether it is mica alone",
                    "Coloured and pearly mica carries titanium dioxide, iron oxides or dyes; the "
                    "strictest of them decides. Only plain mica was looked up.",
                    _figure(h.seen),
                    colours.MIXTURE_RULE,
                    "Ask the supplier for all parts, and enter it as a blend of them.",
                )
            )
    return found


def _listed(held: list[_Held], area: str, rules: RuleSet) -> Finding:
    rows = list(dict.fromkeys(c for h in held for c in h.rows))
    unsure = [c.name for c in rows if c.grade != "seen"]
    doubt = f" From memory, wholly or in part: {', '.join(unsure)}." if unsure else ""
    remarks = " ".join(f"{c.name}: {c.note}." for c in rows if c.note)
    return Finding(
        "note",
        f"Colours listed in the {rules.place} for {PLACES[area]}",
        f"{', '.join(dict.fromkeys(h.name for h in held))}.{doubt} {remarks}".strip(),
        f"{math.fsum(h.seen.pct for h in held):.3g} % of the formula",
        "; ".join(_known(c) for c in rows),
        "Listed as this tool's table has it; look up the current text of each section. Meet the "
        "purity that it asks for. " + ASSESSOR,
        aside=True,
    )
