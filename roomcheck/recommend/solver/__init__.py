"""The integer program: costs, constraints, solution."""
