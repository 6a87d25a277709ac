"""Mutated workbooks: each must end with results or with messages that name cells."""
