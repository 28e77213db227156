"""Where photos and documents are kept is one variable, and no credential is ever part of it."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from registry.environment import env_bucket


def test_a_folder_is_no_bucket(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("X", raising=False)
    assert env_bucket("X") is None
    monkeypatch.setenv("X", "/srv/media")
    assert env_bucket("X") is None


def test_a_bucket_becomes_a_private_storage(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("X", "s3://media/evenkeel/one?endpoint=https://store.example&region=eu-west-1")
    found = env_bucket("X")
    assert found
    assert found["BACKEND"] == "storages.backends.s3.S3Storage"
    options = found["OPTIONS"]
    assert (options["bucket_name"], options["location"]) == ("media", "evenkeel/one")
    assert (options["endpoint_url"], options["region_name"]) == ("https://store.example", "eu-west-1")
    assert (options["default_acl"], options["file_overwrite"]) == (None, False)


@pytest.mark.parametrize(
    "text",
    [
        "s3://",
        "s3://key:hush@media/evenkeel",
        "s3://media/evenkeel?secret=hush",
        "s3://media/evenkeel#hush",
    ],
)
def test_what_can_not_be_read_stops_the_start_and_is_not_repeated(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("X", text)
    with pytest.raises(ImproperlyConfigured, match=r"X .*write s3://BUCKET") as refused:
        env_bucket("X")
    assert "hush" not in str(refused.value)


def test_a_bucket_without_its_libraries_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    monkeypatch.setenv("X", "s3://media")
    with pytest.raises(ImproperlyConfigured, match=r"pip install '\.\[s3\]'"):
        env_bucket("X")
