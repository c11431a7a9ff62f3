"""Drawing on a character grid: roles of colour, dots and text in cells, and the widgets that show them."""
