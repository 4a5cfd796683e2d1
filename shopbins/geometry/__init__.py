"""Points, segments and outlines, in mm, decided by exact signs; knows nothing else."""
