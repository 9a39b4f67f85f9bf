"""The window at the bench. Qt is imported here and in the photo canvas, and nowhere else."""
