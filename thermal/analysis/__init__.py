"""The questions a grower asks, answered by simulation."""
