"""What of planning is decided without looking?"""
