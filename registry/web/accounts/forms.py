"""Forms of accounts and people."""

from collections.abc import Iterator
from typing import Any, Final

from django import forms
from django.contrib.auth.forms import PasswordChangeForm, PasswordResetForm, SetPasswordForm

from registry.web.access import SignedIn
from registry.web.accounts.proof import is_password
from registry.web.fields import RowsField
from registry.web.forms import SavedByAction
from registry.web.versions import AskedAgain
from sites.accounts import note_link
from sites.models import Role, User
from sites.queries import clients_visible_to
from sites.sign_ins import note_password_change

PEOPLE: Final = (Role.MANAGER, Role.TECH, Role.OWNER)


class CodeForm(forms.Form):
    """One code: six digits from the app, or a recovery code."""

    code = forms.CharField(
        label="Code",
        max_length=60,
        help_text="Six digits from your authenticator app. Without the phone: one of your recovery codes.",
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )


class AppCodeForm(CodeForm):
    """The first code of an app that is being set up."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].label, self.fields["code"].help_text = "Code that the app shows now", "Six digits."
        self.fields["code"].widget.attrs["inputmode"] = "numeric"


class ChangePasswordForm(PasswordChangeForm):
    """The old password counts against the throttle; the new one ends every other sign-in."""

    def __init__(self, request: SignedIn, *args: Any, **kwargs: Any) -> None:
        self.request = request
        super().__init__(request.user, *args, **kwargs)

    def clean_old_password(self) -> str:
        """Refuse a wrong one."""
        text: str = self.cleaned_data["old_password"]
        if not is_password(self.request, text):
            raise forms.ValidationError("This is not your password. Nothing was changed.")
        return text


class ChoosePasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """The page behind a password link."""

    def save(self, commit: bool = True) -> User:
        """Set the password and end every sign-in."""
        user: User = super().save(commit)
        note_password_change(by=None, user=user)
        return user


class AskForLinkForm(PasswordResetForm):
    """Asks for a password link. The answer is the same whether or not there is such an account."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["email"].label = "E-mail"

    def get_users(self, email: str) -> Iterator[User]:
        """Return who gets a letter: nobody twice within a few minutes."""
        return (user for user in super().get_users(email) if note_link(by=None, person=user))


class PersonForm(AskedAgain, SavedByAction[User]):
    """A person, as a manager sees them."""

    clients = RowsField(
        required=False,
        help_text="Only for client owners: they read the sites of these clients. Managers and techs see all.",
    )

    class Meta:
        """Columns."""

        model = User
        fields = ["username", "first_name", "last_name", "email", "role"]
        help_texts = {"username": "What the person types to sign in. Letters, digits and @ . + - _ only."}

    def __init__(self, *args: Any, by: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["role"].choices = [(role, role.label) for role in PEOPLE]  # type: ignore[attr-defined]
        self.fields["email"].required, self.fields["email"].label = True, "E-mail"
        self.fields["email"].help_text = "Password links and reminders go there."
        self.fields["clients"].offer(clients_visible_to(by))  # type: ignore[attr-defined]
        if self.instance.pk:
            self.fields["clients"].initial = [each.client_id for each in self.instance.memberships.all()]

    def clean(self) -> dict[str, Any]:
        """Refuse an owner without a client: they would see nothing."""
        values = super().clean() or self.cleaned_data
        if values.get("role") == Role.OWNER and not values.get("clients") and "clients" not in self.errors:
            self.add_error("clients", "Choose at least one client: an owner sees the sites of their clients only.")
        return values
