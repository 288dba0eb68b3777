"""The bare loops that setting aside is held against: nothing but Django's ORM on tables of their own."""

from collections.abc import Iterator
from functools import cache
from random import Random

from django.db import connections, models, transaction
from django.db.models import F

ITEMS, READ, TAKEN = 500, 20, 5
BARE = "bare"


def lead_bare() -> None:
    """The bare loops write through Django's own backend, ours through the house's."""
    own, kind = (
        connections.settings["default"],
        "sqlite3" if connections["default"].vendor == "sqlite" else "postgresql",
    )
    connections.settings[BARE] = {**own, "ENGINE": f"django.db.backends.{kind}"}


def build_bare(lines: int) -> None:
    """Their tables, ITEMS items that never run out, and so many lines with a want each."""
    made = bare_models()
    with connections[BARE].schema_editor() as editor:
        for model in made.values():
            editor.create_model(model)
    with transaction.atomic(BARE):
        made["Item"].objects.using(BARE).bulk_create(made["Item"](code=f"IT-{n}", on_hand=10**6) for n in range(ITEMS))
        wants = made["Want"].objects.using(BARE).bulk_create(made["Want"](pairs=TAKEN) for _ in range(lines))
        made["Line"].objects.using(BARE).bulk_create(made["Line"](want=want.pk, pairs=TAKEN) for want in wants)


@cache
def bare_models() -> dict[str, type[models.Model]]:
    """Tables of nothing but what the loops need; Item and Taken are those of the bare loop, with its constraint."""
    whole = models.IntegerField

    def made(name: str, **fields):
        meta = {"app_label": "measure", "db_table": f"measure_{name.lower()}", **fields.pop("meta", {})}
        return type(name, (models.Model,), {"__module__": __name__, "Meta": type("Meta", (), meta), **fields})

    fits = models.CheckConstraint(
        condition=models.Q(reserved__gte=0, reserved__lte=F("on_hand")), name="reserved_fits"
    )
    item = made(
        "Item",
        code=models.CharField(max_length=20, unique=True),
        on_hand=whole(),
        reserved=whole(default=0),
        meta={"constraints": [fits]},
    )
    return {
        "Item": item,
        "Taken": made(
            "Taken",
            item=models.ForeignKey(item, models.PROTECT),
            order_no=whole(db_index=True),
            qty=whole(),
            at=models.DateTimeField(auto_now_add=True),
        ),
        "Want": made("Want", pairs=whole()),
        "Line": made("Line", want=whole(null=True), pairs=whole(), taken=whole(default=0)),
        "Told": made("Told", line=whole(db_index=True), what=models.CharField(max_length=400)),
    }


def take_bare(seed: str, lines: list[int], *, same_rows: bool) -> Iterator[None]:
    """A transaction for each of the lines: READ items read, TAKEN of them changed, as many rows put in.

    With `same_rows` also the line changed, its want dropped and a sentence put on record, as the house does.
    """
    made, dice = bare_models(), Random(seed)  # noqa: S311
    for line in lines:
        with transaction.atomic(BARE):
            _take(made, dice)
            if same_rows:
                _keep_line(made, line)
        yield


def _take(made: dict, dice: Random) -> None:
    items, locks = made["Item"].objects.using(BARE), connections[BARE].features.has_select_for_update
    keys = sorted(dice.sample(range(1, ITEMS + 1), READ))
    rows = items.filter(pk__in=keys).order_by("pk")
    found = {row.pk: row for row in (rows.select_for_update() if locks else rows)}
    taken = sorted(dice.sample(keys, TAKEN))
    for pk in taken:
        if found[pk].on_hand <= found[pk].reserved:
            raise ArithmeticError(f"item {pk} is used up")
        items.filter(pk=pk).update(reserved=F("reserved") + 1)
    made["Taken"].objects.using(BARE).bulk_create(made["Taken"](item_id=pk, order_no=1, qty=1) for pk in taken)


def _keep_line(made: dict, pk: int) -> None:
    lines, locks = made["Line"].objects.using(BARE), connections[BARE].features.has_select_for_update
    line = (lines.select_for_update() if locks else lines).get(pk=pk)
    made["Want"].objects.using(BARE).filter(pk=line.want).delete()
    line.want, line.taken = None, TAKEN
    line.save(using=BARE)
    made["Told"].objects.using(BARE).create(line=pk, what=f"{TAKEN} taken")


lead_bare()
