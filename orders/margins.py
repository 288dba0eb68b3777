"""What is left of what was sold, once the pairs are paid for. No Django here: GBP without VAT, whole pairs."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

PENNY = Decimal("0.01")


@dataclass(frozen=True)
class Margin:
    """Pairs sold of something: what they fetched and what making them costs. `whole`: every part has a known price."""

    name: str
    url: str
    pairs: int
    sold: Decimal
    cost: Decimal
    whole: bool = True

    @property
    def left(self) -> Decimal:
        return self.sold - self.cost

    @property
    def share(self) -> Decimal | None:
        """Per cent of what they fetched, to a tenth; None where they fetched nothing."""
        return (100 * self.left / self.sold).quantize(Decimal("0.1"), ROUND_HALF_UP) if self.sold > 0 else None


def add_up(rows: Iterable[Margin], name: str = "All", url: str = "") -> Margin:
    rows = list(rows)
    return Margin(
        name,
        url,
        sum(row.pairs for row in rows),
        sum((row.sold for row in rows), Decimal(0)),
        sum((row.cost for row in rows), Decimal(0)),
        all(row.whole for row in rows),
    )


def margin_sentence(all_of_it: Margin, when: str) -> str:
    """ "£1,204.40 was sold from 1 to 30 November; the pairs cost £611.02 to make, £593.38 is left: 49.3 %." """
    if not all_of_it.pairs and not all_of_it.sold:
        return f"Nothing was invoiced {when}."
    short = "" if all_of_it.whole else " at least"
    share = f": {all_of_it.share:f} %" if all_of_it.share is not None else ""
    left = f"£{all_of_it.left:,.2f} is left" if all_of_it.left >= 0 else f"£{-all_of_it.left:,.2f} was lost"
    return (
        f"£{all_of_it.sold:,.2f} was sold {when}; the pairs cost{short} £{all_of_it.cost:,.2f} to make, {left}{share}."
    )
