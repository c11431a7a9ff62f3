"""A recording as one page to read and print: collected in one pass, drawn as inline SVG, nothing fetched."""
