"""The season's sums: what is booked, what is still to come, and what to make of it in summer. No Django.

A season is what is to be sent from the first of a month in autumn up to Christmas Eve, whenever it was ordered.
dates.py says which days those are, booking_curve.py adds up what was booked by each of them, projection.py says what
the whole will come to, by_candle.py which candles that is, make_ahead.py what of it can be hung in idle weeks,
words.py says all of it in sentences.
"""
