"""The picture of a shop in characters: cells, inks, words and scale. Knows no screen."""
