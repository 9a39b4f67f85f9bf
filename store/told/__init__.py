"""What a job's entries tell at any moment: what counted, its value, what rests on what."""
