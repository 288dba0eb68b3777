"""Checks of what was counted off a frame. No Django models here: numbers in, a clean count or a reason out."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError

LONGEST_FAULT = 40


@dataclass(frozen=True)
class CountedOff:
    """Pairs of firsts, of seconds by fault, and for remelt."""

    firsts: int
    seconds: dict[str, int]
    remelt: int

    @property
    def seconds_pairs(self) -> int:
        return sum(self.seconds.values())

    @property
    def pairs(self) -> int:
        return self.firsts + self.seconds_pairs + self.remelt

    def in_words(self) -> str:
        faults = [f"{pairs} {fault}" for fault, pairs in self.seconds.items()]
        seconds = f"{self.seconds_pairs} seconds" + (f" ({', '.join(faults)})" if faults else "")
        return f"{self.firsts} firsts, {seconds}, {self.remelt} for remelt"


def clean_count(*, hung: int, firsts: int, seconds: dict[str, int], remelt: int) -> CountedOff:
    """The count with its faults tidied. ValidationError (by field) unless every pair hung is in it, exactly once."""
    numbers = {"firsts": firsts, "remelt": remelt, **{f"seconds of {name!r}": n for name, n in seconds.items()}}
    for name, pairs in numbers.items():
        if isinstance(pairs, bool) or not isinstance(pairs, int) or pairs < 0:
            field = name if name in ("firsts", "remelt") else "seconds"
            raise ValidationError({field: f"A whole number of pairs from 0 to {hung}."})
    count = CountedOff(firsts, _tidy(seconds), remelt)
    if count.pairs < hung:
        missing = hung - count.pairs
        raise ValidationError(
            f"{count.pairs} of {hung} pairs are counted: {missing} {'is' if missing == 1 else 'are'} missing. "
            "Every pair hung is a first, a second or for remelt."
        )
    if count.pairs > hung:
        raise ValidationError(
            f"{count.pairs} pairs are counted, but {hung} were hung: {count.pairs - hung} too many. Count again."
        )
    return count


def _tidy(seconds: dict[str, int]) -> dict[str, int]:
    """Faults without blanks round them; the same word in another case is the same fault; none of nought pairs."""
    tidy: dict[str, int] = {}
    spelled: dict[str, str] = {}
    for name, pairs in seconds.items():
        if not pairs:
            continue
        fault = " ".join(name.split())
        if not fault:
            raise ValidationError({"seconds": "Say what is wrong with them."})
        if len(fault) > LONGEST_FAULT:
            raise ValidationError({"seconds": f"A fault has at most {LONGEST_FAULT} characters."})
        fault = spelled.setdefault(fault.casefold(), fault)
        tidy[fault] = tidy.get(fault, 0) + pairs
    return tidy
