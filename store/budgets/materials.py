"""How much a material grows when it warms up: linear expansion at shop temperatures.

A size is meant at 20 degrees Celsius (ISO 1, from memory).
"""

from store.errors import BadPlan

REFERENCE_C = 20.0
GAUGE_STEEL_PER_K = 11.5e-6  # JCGM 100:2008 (GUM) H.1

# Per kelvin. Callister, Fundamentals of Materials Science and Engineering, 3rd ed., App. B,
# Table B.6 (read second hand), but for gauge steel (GUM H.1) and grey iron (second hand, common
# foundry figure).
_EXPANSION_PER_K = {
    "steel": GAUGE_STEEL_PER_K,
    "ductile iron": 11.2e-6,  # 60-40-18
    "grey iron": 10.8e-6,
    "aluminium 6061": 23.6e-6,
    "aluminium 356": 21.5e-6,
    "brass C26000": 19.9e-6,
    "brass C36000": 20.5e-6,
}
# The same metal under another shop's word. Plain aluminium is taken as the cast alloy, and plain
# brass as the free-cutting one: 10 % either way is in the budget.
_ALSO = {
    "gray iron": "grey iron",
    "cast iron": "grey iron",
    "iron": "grey iron",
    "nodular iron": "ductile iron",
    "aluminum": "aluminium 356",
    "aluminium": "aluminium 356",
    "aluminum 356": "aluminium 356",
    "aluminum 6061": "aluminium 6061",
    "brass": "brass C36000",
}


def expansion_per_k(material: str) -> float:
    """Return the linear expansion of a material per kelvin; raises BadPlan naming those known."""
    name = " ".join(material.split())
    by_name = {known.casefold(): value for known, value in _EXPANSION_PER_K.items()}
    found = by_name.get(_ALSO.get(name.casefold(), name).casefold())
    if found is None:
        known = ", ".join(_EXPANSION_PER_K)
        raise BadPlan(f"the expansion of {material!r} is not known here; known are {known}")
    return found
