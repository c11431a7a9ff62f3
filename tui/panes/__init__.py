"""The panes of the board, one file each: a frozen view, a function that draws it, a widget that shows it."""
