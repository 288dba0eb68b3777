"""What the tests of graded frames and their orders share. The house is imported within: see conftest."""


def wanted(*lines, **fields):
    """An order whose lines (candle, pairs) stand on the dip list."""
    from orders.domain.setting_aside import sync_wants
    from tests.factories import make_order

    order = make_order(lines=lines, **fields)
    sync_wants(order)
    return order


def want_of(order, position: int = 1):
    return order.lines.get(position=position).want


def hang(candle, hung_for: dict, hung: int = 48, **fields):
    """A hardened frame; `hung_for`: order (its first line) -> pairs of firsts."""
    from tests.factories.floor import make_frame

    wants = {want_of(order): pairs for order, pairs in hung_for.items()}
    return make_frame(candle, state="off", hung=hung, wants=wants, dips=34, **fields)


def grade(frame, firsts: int, seconds: int = 0):
    """Count it off; what is neither goes to remelt."""
    from production.domain.grading import grade_frame
    from tests.factories import make_person

    return grade_frame(
        frame=frame,
        version=frame.version,
        firsts=firsts,
        seconds={"bubbles": seconds} if seconds else {},
        remelt=frame.hung - firsts - seconds,
        by=make_person("dipper"),
    )


def held(order) -> list[int]:
    """Pairs set aside for each of its lines."""
    return list(order.lines.order_by("position").values_list("set_aside", flat=True))
