"""The check sheet of the floor: what is looked at before anything is heated, and before all go home.

No Django here. General words, common practice without a source, round TRADE S-11 to S-15. The wax data sheets,
the insurer, local codes and licensed practice go before them; a workshop adds what its own look at the risks finds.
"""

MORNING, EVENING = "morning", "evening"

POINTS = {
    MORNING: (
        ("extinguisher", "The extinguisher of class B (foam, powder or carbon dioxide) is in its place and in date."),
        ("lids", "Each vat's lid lies at hand, and closes it."),
        ("cut_outs", "Each cut-out was tried, and its sensor sits in the wax or on the vat's wall."),
        ("thermostats", "Each thermostat stands where the vat's page says; no lead or hose is worn."),
        ("dry", "No water stands or drips near the vats, and nothing that burns easily lies there."),
        ("ways_out", "The ways out and the way to the switch are clear."),
        ("burns", "There is cool running water for burns, and the first-aid box is full."),
        ("stays", "Somebody stays with the heated vats all day, and knows who takes over."),
    ),
    EVENING: (
        ("heat_off", "The heat of every vat is off at its own switch, not at the thermostat alone."),
        ("lids_on", "The lids are on."),
        ("frames", "Frames that rest overnight hang free, away from draughts and doors."),
        ("rags", "Waxy rags and wick ends lie in a metal bin with its lid on."),
        ("floor_clean", "Spilt wax is scraped off the floor."),
        ("looked_again", "Somebody looked at the vats again, a while after the heat went off."),
    ),
}


def not_ticked(part: str, ticked) -> list[str]:
    """That part's points that were not ticked, in words, in the order of the sheet. KeyError for another part."""
    return [words for key, words in POINTS[part] if key not in set(ticked)]
