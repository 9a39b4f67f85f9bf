"""Where one check or one thing stands: its word, its attempts, its waivers, second eyes, stock."""
