"""Figures for the notebook: ink first, a wash beneath it, words at the curves."""
