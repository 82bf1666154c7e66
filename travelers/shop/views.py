"""How does a person sign in and out?"""

from django.contrib.auth.views import LoginView, LogoutView

# Both are marked by Django itself: signing in needs no sign-in, signing out is a
# POST.  Signing in gives the session a new key.
sign_in = LoginView.as_view(template_name="kit/signin.html")
sign_out = LogoutView.as_view()
