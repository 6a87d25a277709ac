"""Leakage and strength of standard flanged joints under piping loads."""
