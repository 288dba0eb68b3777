"""What the tests of the set-up send."""

BOX = {
    "name": "Long box",
    "length_mm": "420",
    "width_mm": "300",
    "height_mm": "200",
    "tare_g": "300",
    "limit_g": "15000",
    "active": "on",
}
