"""Keys and what they do: the one table, the user's own keys, what is heard everywhere."""
