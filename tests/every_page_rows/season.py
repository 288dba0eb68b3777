def rows(season) -> dict[str, dict]:
    return {"season_csv": {"sheet": "candles"}}
