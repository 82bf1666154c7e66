"""How does one sign in to the demo?"""

# Everybody in the demo has this password.  It is no secret: the demo is for looking
# at, on a machine where nothing else is kept.
PASSWORD = "plank-to-play"  # noqa: S105

# At a tablet they type their number and this PIN, which is no secret either.
PIN = "314159"
FIRST_NUMBER = 1001

# One of each role, to be shown to whoever wants to look around.
SIGN_INS = ("marta", "lev", "pia", "quentin", "rosa", "ada")
