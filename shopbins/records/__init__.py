"""What people record: each a file of its own, with its fields and how it is changed."""
