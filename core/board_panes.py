"""The panes of the board, by name."""

PANES = ("position", "fix", "goto", "sky", "compass", "wire")
"""As they are laid out."""
