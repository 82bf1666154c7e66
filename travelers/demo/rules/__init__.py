"""What is decided about the demo without looking at its rows?  Pure."""
