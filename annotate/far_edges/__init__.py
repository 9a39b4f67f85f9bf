"""Edges inside a near rim: the far rim, the near hole's own far edge, the opening they leave."""
