def rows(season) -> dict[str, dict]:
    return {}
