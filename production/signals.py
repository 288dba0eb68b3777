"""What production tells whoever listens, inside the transaction of what it tells of.

Both are sent with `send`: a listener that fails rolls the grading back. Neither names anybody above production.
"""

from django.dispatch import Signal

# Before the floor locks anything, because locks are taken in one order: order, line, want, frame, lot. Carries
# `wants`, the keys of the wants a frame hangs for. A listener locks what is its own above them and returns the keys of
# every want it may touch; production then locks all of those at once, by key, and the frame after them.
grading_begins = Signal()

# New firsts of a frame lie on the shelf, or none came: `frame` (locked), `lot` (None where there are none), `pairs` of
# firsts to hand out, `wants` {key: pairs the frame hung for it}, `by`. A listener returns {key: pairs taken} for each
# want that is its own, 0 where it took none; what nobody takes stays free on the shelf.
frame_graded = Signal()
