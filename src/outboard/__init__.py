"""Outboard: linear regulators with outboard transistors, designed, questioned and proved."""

__version__ = "0.1.0"
