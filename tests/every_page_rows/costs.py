def rows(season) -> dict[str, dict]:
    return {
        "candle_cost": {"pk": season.candle.pk},
        "margins": {"by": "candle"},
        "margins_file": {"by": "shop", "kind": "csv"},
    }
