"""E-invoices after EN 16931: the frozen content of a paper in, UBL 2.1 or CII (in a PDF) out. No Django.

document.py reads the content and re-adds it; ubl.py and cii.py write the two syntaxes; schema.py checks them against
the official XSDs; hybrid.py puts the CII into a PDF built as PDF/A-3b.
"""
