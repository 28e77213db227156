"""A lost password: ask for a link, open it, choose a new one."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.views import PasswordResetConfirmView, PasswordResetView
from django.http import HttpResponse
from django.urls import reverse_lazy

from registry.web.accounts.forms import AskForLinkForm, ChoosePasswordForm
from registry.web.accounts.letters import BODY, SUBJECT

ASKED = "If this address belongs to an account, a link is on its way to it. It works once, for a day."
CHOSEN = "Your password is set. Sign in with it."


class AskForLink(PasswordResetView):
    """Sends a link, and never says whether there is such an account."""

    template_name = "accounts/ask_for_link.html"
    form_class = AskForLinkForm
    subject_template_name = SUBJECT
    email_template_name = BODY
    success_url = reverse_lazy("sign-in")

    def form_valid(self, form: Any) -> HttpResponse:
        """Say the same in every case."""
        messages.info(self.request, ASKED)
        return super().form_valid(form)


class OpenLink(PasswordResetConfirmView):
    """Lets whoever has the link choose the password; signing in still takes the second factor."""

    template_name = "accounts/open_link.html"
    form_class = ChoosePasswordForm
    success_url = reverse_lazy("sign-in")

    def form_valid(self, form: Any) -> HttpResponse:
        """Lead to the door."""
        messages.success(self.request, CHOSEN)
        return super().form_valid(form)
