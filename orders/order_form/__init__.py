"""The order form: a workbook made for one shop, filled in by it in its own way, read back. No Django.

parts.py says what a form is made of and what its columns and labels are called; writing.py makes the workbook,
looks.py what it looks like; reading.py finds the rows of one that came back, rows.py what each of them says, heads.py
the reference, day and address; told.py the sentences for whoever looks it over.
"""
