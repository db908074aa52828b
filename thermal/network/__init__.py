"""A plan as a thermal network: nodes, conductances, capacities."""
