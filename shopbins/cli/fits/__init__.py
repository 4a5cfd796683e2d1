"""The command `fits`: a floor and a question as JSON, the answer as JSON."""
