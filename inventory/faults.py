"""What makes a second, in the bench's own words. No Django here.

The list follows the faults a dipper meets (TRADE F1 to F10); bloom is left out, because it wipes off and burns
normally. A workshop may write its own words instead.
"""

# (what is written on the box, what usually causes it)
FAULTS = (
    ("bubbles", "wax too cold, or air left in the wick at the first dip"),
    ("coarse grain", "beeswax dipped too cool"),
    ("ripples", "too little time between dips"),
    ("wrinkles", "a damp room"),
    ("bent", "straightened too late, or the vat too shallow"),
    ("melted back", "wax too hot, or a dip too long"),
    ("fingerprints", "handled before it was hard"),
    ("stuck together", "hung too close, or the frame swung"),
    ("under gauge", "too few dips"),
    ("over gauge", "too many dips"),
    ("too short", "vat level too low, or trimmed too far"),
    ("base not level", "trimmed askew"),
    ("colour off", "shade does not match the lot"),
    ("white core ring", "cold core or cold vat"),
    ("layers parting", "cold core or cold vat"),
    ("drip tail", "lifted too fast at the last dip"),
)
NAMES = tuple(name for name, cause in FAULTS)
