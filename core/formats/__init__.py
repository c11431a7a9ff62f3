"""Open file formats: what fixboard keeps and what it hands on."""
