"""Mathematics that knows of no photo: distributions, least squares, weighted samples, areas."""
