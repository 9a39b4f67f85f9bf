"""Photos: shown, filed from wherever they come, and what is wrong with them."""
