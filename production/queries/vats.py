"""Vats as their pages read them: what they hold, what was read last, which run is on, how much they want."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from math import ceil

from django.db.models import OuterRef, Prefetch, QuerySet, Subquery
from django.utils import timezone

from production.heat import BUILD_K, WaxLimits, read_cautions, set_cautions, top_up_heat_kj
from production.models import DipRun, FloorCheck, Frame, Vat, VatReading
from production.models.frame import HANGING
from production.queries.growing import growing_of
from production.queries.wax import bath_of, hung_of
from production.wax_use import Bath, caution_covering, caution_rim, top_up_kg


def vats_as_read() -> QuerySet[Vat]:
    """Vats with wax, its limits and colour, the last heat (`heat_c`, `heat_at`) and the run that is on (`on`)."""
    last = VatReading.objects.filter(vat=OuterRef("pk"), celsius__isnull=False).order_by("-at", "-pk")
    runs = DipRun.objects.filter(ended_at=None).select_related("carousel")
    return (
        Vat.objects.select_related("wax__heat", "colour")
        .annotate(heat_c=Subquery(last.values("celsius")[:1]), heat_at=Subquery(last.values("at")[:1]))
        .prefetch_related(Prefetch("runs", queryset=runs, to_attr="on"))
    )


def log_of(vat: Vat) -> QuerySet[VatReading]:
    return VatReading.objects.filter(vat=vat).select_related("person")


def limits_known(vat: Vat) -> WaxLimits | None:
    """The limits of its wax as fetched with it."""
    row = getattr(vat.wax, "heat", None)
    return row and WaxLimits(row.congeals_c, row.flash_c, row.discolours_c)


def wanted_kg(vat: Vat) -> Decimal:
    """Molten wax that fills it up, to the next 0.1 kg above."""
    return Decimal(ceil(top_up_kg(bath_of(vat)) * 10 - 1e-9)) / 10


def wanted_kwh(vat: Vat) -> float | None:
    """Heat that melts what fills it up, from 20 C to where its thermostat stands; None where its wax is not known."""
    limits = limits_known(vat)
    if limits is None or not 20 < limits.congeals_c <= vat.set_c:
        return None
    return top_up_heat_kj(wanted_kg(vat), limits.congeals_c, vat.set_c) / 3600


def read_today(vat: Vat) -> bool:
    return vat.heat_at is not None and timezone.localdate(vat.heat_at) == timezone.localdate()


@dataclass(frozen=True)
class Cautions:
    """What to watch at a vat, the gravest first, in sentences."""

    heat: list[str]
    thermostat: list[str]
    level: list[str]

    @property
    def all(self) -> list[str]:
        return [*self.heat, *self.thermostat, *self.level]


def cautions_at(vat: Vat) -> Cautions:
    """What heat (read today), thermostat and level say, by the wax's limits and by what hangs over it."""
    limits = limits_known(vat)
    if limits is None:
        return Cautions([], [f"Nobody wrote down what {vat.wax} may be heated to."], _level_cautions(vat))
    finish = vat.set_c > limits.congeals_c + BUILD_K[1]
    heat = read_cautions(vat.heat_c, vat.cut_out_c, limits, finish=finish) if read_today(vat) else []
    return Cautions(heat, set_cautions(vat.set_c, vat.cut_out_c, limits), _level_cautions(vat))


def _level_cautions(vat: Vat) -> list[str]:
    bath: Bath = bath_of(vat)
    said = []
    if vat.level_mm >= vat.depth_mm:
        said.append("As reckoned it is empty: read its level, a top-up was not written down.")
    elif vat.level_mm < vat.keep_mm:
        said.append(f"It is fuller than {vat.keep_mm} mm below the rim: candles that dip may push wax over.")
    if vat.on and (frames := frames_over(vat)):
        hung = hung_of(growing_of(frames).values())
        said += filter(None, [caution_covering(bath, hung), caution_rim(bath, hung)])
    return said


def frames_over(vat: Vat) -> list[Frame]:
    """Frames that are being dipped in it: hung on the carousel of its run, and not done."""
    carousels = [run.carousel_id for run in vat.on]
    hanging = Frame.objects.filter(carousel__in=carousels, state=HANGING, done=False)
    return list(hanging.select_related("candle__wax").order_by("position"))


def checks_of(day) -> dict[str, FloorCheck]:
    """The latest check sheet of each part on that day."""
    rows = FloorCheck.objects.filter(day=day).select_related("person").order_by("at", "pk")
    return {check.part: check for check in rows}


def at_clock(moment: datetime) -> str:
    """ "at 07:42" for today, else with the day."""
    local = timezone.localtime(moment)
    if local.date() == timezone.localdate():
        return f"at {local:%H:%M}"
    return f"on {local.day} {local:%B at %H:%M}"
