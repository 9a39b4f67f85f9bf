"""The first screen and the one that begins a job."""
