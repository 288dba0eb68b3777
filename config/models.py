"""The people who work here. Everything else the workshop knows lives in the three apps."""

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.core.validators import RegexValidator
from django.db import models

from config.roles import ROLES


class PersonManager(BaseUserManager):
    def create_person(self, username: str, password: str | None, **fields) -> "Person":
        """A new person; `password` None leaves them to sign in by PIN only."""
        person = self.model(username=username.strip().lower(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username):
        return self.get(username=username.strip().lower())


class Person(AbstractBaseUser):
    """Somebody with a sign-in. The four roles combine freely: three people run the place."""

    username = models.CharField(
        "sign-in name",
        max_length=40,
        unique=True,
        validators=[RegexValidator(r"^[a-z0-9][a-z0-9._-]*$", "Small letters, digits, dots and dashes only.")],
    )
    full_name = models.CharField("name", max_length=80)
    owner = models.BooleanField(default=False)
    dipper = models.BooleanField(default=False)
    packer = models.BooleanField(default=False)
    bookkeeper = models.BooleanField(default=False)
    pin = models.CharField("PIN (kept as a hash)", max_length=128, blank=True, editable=False)
    is_active = models.BooleanField("may sign in", default=True)
    # Demo accounts have printed passwords: they exist in the demo's own database and answer loopback only.
    is_demo = models.BooleanField(default=False, editable=False)

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS = ["full_name"]
    objects = PersonManager()

    class Meta:
        verbose_name_plural = "people"
        ordering = ["full_name"]

    def __str__(self):
        return self.full_name

    @property
    def roles(self) -> set[str]:
        return {role for role in ROLES if getattr(self, role)}

    def set_pin(self, raw: str) -> None:
        self.pin = make_password(raw) if raw else ""

    def check_pin(self, raw: str) -> bool:
        return bool(self.pin) and check_password(raw, self.pin)
