"""The dip plan: which vat holds what when, and which frames hang where. No Django.

Reads as a chapter: problem.py (what is asked), plan.py (what is answered, and what it costs), construct.py and
improve.py (how it is found), simulate.py (every turn of it), check.py (somebody else's reading of the rules).
"""
