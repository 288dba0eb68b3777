"""A whole copy of the book as one file, made while the site runs, and back into either database.

The file is a zip: a table a part, a row a line of JSON, and a manifest with the state of the migrations, the rows of
each table and the digest of each part. It holds what the workshop wrote down; who is signed in, failed sign-ins and
the queue of the worker are no part of it.
"""
