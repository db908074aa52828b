"""Charts of the pages as SVG in two sizes, wide and narrow, coloured by the style sheet, readable without colour."""
