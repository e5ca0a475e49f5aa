"""Figures read off solutions, lane by lane: what checks judge and what curves show."""
