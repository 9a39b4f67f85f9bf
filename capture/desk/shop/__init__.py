"""The books of all jobs: searched, and one check plotted over them."""
