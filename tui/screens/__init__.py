"""Whole screens, put together from panes."""
