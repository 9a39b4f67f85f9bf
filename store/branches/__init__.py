"""The chains of several benches in one book: their form, what each knew, forks, clashes, merges."""
