"""Password hashing that a small server can afford in parallel."""

from django.contrib.auth.hashers import Argon2PasswordHasher


class LeanArgon2PasswordHasher(Argon2PasswordHasher):
    """Argon2id at 46 MiB a check instead of 100, one pass: OWASP Password Storage Cheat Sheet (from memory)."""

    memory_cost = 47_104
    time_cost = 1
    parallelism = 1
