"""What have these defective instruments in common, and is it more than chance?"""
