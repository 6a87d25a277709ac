"""Nozzle loads against allowables."""
