"""The question who is there, for somebody who is signed in: the password, or a code of their second factor."""

from typing import Any

from django import forms
from django.contrib.auth import authenticate

from registry.web.access import SignedIn
from sites.second_factor import check_code, has_second_factor, seconds_to_wait

ONLY = "Your password"
EITHER = "Your password, or a code from your authenticator app"


class ProofForm(forms.Form):
    """One field. A wrong password counts against the throttle of signing in, a wrong code against that of codes."""

    proof = forms.CharField(
        max_length=200, strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )

    def __init__(self, request: SignedIn, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request
        self.by_code = has_second_factor(request.user)
        self.fields["proof"].label = EITHER if self.by_code else ONLY

    def clean_proof(self) -> str:
        """Refuse what proves nothing."""
        text: str = self.cleaned_data["proof"]
        if self.by_code and _looks_like_code(text):
            self._refuse_wrong_code(text)
        elif not is_password(self.request, text):
            raise forms.ValidationError("This is not your password. Nothing was changed.")
        return text

    def _refuse_wrong_code(self, text: str) -> None:
        wait = seconds_to_wait(self.request.user, text)
        if wait:
            raise forms.ValidationError(f"Too many wrong codes: try again in {wait} s, or give your password.")
        if check_code(self.request.user, text) is None:
            raise forms.ValidationError("This code is wrong or was used before. Wait for the next one.")


def _looks_like_code(text: str) -> bool:
    plain = text.replace(" ", "")
    return len(plain) == 6 and plain.isascii() and plain.isdigit()


def is_password(request: SignedIn, text: str) -> bool:
    """Return whether `text` is the password of who is signed in; a wrong one counts against the throttle."""
    found = authenticate(request, username=request.user.get_username(), password=text)
    return found is not None and found.pk == request.user.pk
