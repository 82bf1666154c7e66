"""What is released when, and by when would a new order be finished?"""
