"""Reading an order as a customer wrote it: a block pasted from a spreadsheet or e-mail, or one typed row. No Django.

Nothing is lost and nothing invented: each line of the block ends up as a row, as a doubt (with the nearest candles to
choose from) or as left out (headings, totals, greetings), with the reason; and every number of pairs stands in the
line, or is so many boxes of it. Where a line can be read in two ways it is a doubt: "ivory taper 250" may want 250
pairs, or any number of a candle 250 mm long.

catalogue.py finds candles, tokens.py takes a line apart, spoken.py knows dozens and numbers in words, columns.py knows
headings, words.py reads one line written freely, block.py a whole paste.
"""

from orders.reading.block import Reader
from orders.reading.catalogue import Catalogue, Known
from orders.reading.parts import Doubt, LeftOut, Read, Reading

__all__ = ["Catalogue", "Doubt", "Known", "LeftOut", "Read", "Reader", "Reading"]
