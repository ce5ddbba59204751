"""Shop drawings at full size: one drawing in millimetres, written as SVG, DXF or PDF, whole or in tiles."""
