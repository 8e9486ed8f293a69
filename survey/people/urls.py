"""Where people sign in and out."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, LogoutView
from django.urls import path

app_name = "people"

urlpatterns = [
    path(
        "sign-in/",
        login_not_required(
            LoginView.as_view(template_name="people/sign_in.html", redirect_authenticated_user=True)
        ),
        name="sign_in",
    ),
    path("sign-out/", LogoutView.as_view(), name="sign_out"),
]
