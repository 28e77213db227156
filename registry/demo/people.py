"""The three people of the demo, one for each role, with passwords that are made anew at every run."""

from typing import Final, NamedTuple

from django.utils.crypto import get_random_string

from sites.models import Client, Membership, Role, User

USERNAMES: Final = {"manager": Role.MANAGER, "tech": Role.TECH, "owner": Role.OWNER}
EASY_TO_READ: Final = "abcdefghjkmnpqrstuvwxyz23456789"
PASSWORD_LENGTH: Final = 16


class SignIn(NamedTuple):
    """What someone needs to sign in."""

    username: str
    password: str
    role: str


def renew_people() -> list[SignIn]:
    """Make the people of the demo, or give those that are there new passwords."""
    return [_renewed(username, role) for username, role in USERNAMES.items()]


def _renewed(username: str, role: Role) -> SignIn:
    user, _ = User.objects.get_or_create(username=username, defaults={"email": f"{username}@example.com", "role": role})
    password = get_random_string(PASSWORD_LENGTH, EASY_TO_READ)
    user.set_password(password)
    user.save()
    return SignIn(username, password, role.label)


def make_owner(client: Client) -> None:
    """Let the owner of the demo belong to this client."""
    Membership.objects.get_or_create(user=User.objects.get(username="owner"), client=client)
