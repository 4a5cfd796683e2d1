"""Pure geometry of a crowded floor, in mm; knows polygons and nothing else."""
