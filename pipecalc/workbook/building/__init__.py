"""Rows -> model: the steps of building the plant."""
