"""How fast is it, beside what?  Ratios of one run on one machine."""
