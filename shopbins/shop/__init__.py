"""The shop as described: model, reading of the YAML, problems with line and column."""
