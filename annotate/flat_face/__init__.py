"""Round edges in one flat face before one camera: diameters and distances between centres."""
