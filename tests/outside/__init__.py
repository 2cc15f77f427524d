"""A second ruler of the rules "Open Field", second edition.

It was written from the text of the rules alone, by somebody who had not read
the program, so that a fault shared by the program and its own tests shows.
Run it from the repository's root:

    python3 -m unittest discover -s tests/outside -t tests
"""
