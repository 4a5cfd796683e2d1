"""The plan on paper and in other programs: SVG, PDF, DXF out; tables and drawings in; the measuring sheet."""
