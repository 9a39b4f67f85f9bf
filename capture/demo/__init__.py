"""An invented job from arrival to closed: real pictures in, real measurements, nothing canned."""
