"""Checks against limits: one file for each standard or rule, found by listing the folder."""
