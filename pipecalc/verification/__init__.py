"""Published checks of the program: their data, the functions they test, the runner and the dossier.

A source is one file of ``sources/``: citation, problems, expected numbers, limits with their reasons. What the program
finds comes from ``models/``, which call the production functions. The tests run the same data.
"""
