"""The log of changes as a chain: each entry is hashed together with the hash of the one before.

What an entry said goes into its hash as a keyed digest, not as text. So the text of an erased
player can be blanked, and its key with it, while the chain still checks: the digest that stays
tells nothing without the key. SHA-256 [FIPS180]_ and HMAC [RFC2104]_.
"""

import hashlib
import hmac
import json
import secrets
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

#: what the first entry follows on
START = "0" * 64
#: changes whenever the way of hashing does; a migration then chains the log anew
_FORM = "hoopwright log 1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """The columns that make an entry part of the chain, as hexadecimal digits."""

    #: key of the digest; "" where there was no text, or where it was blanked
    salt: str
    #: HMAC-SHA-256 of the text; "" where there was none
    digest: str
    #: hash of the entry before, or :data:`START`
    previous: str
    #: hash of this entry
    hash: str


def link(row: Mapping[str, Any], *, previous: str) -> Link:
    """Return what makes a row the next of the chain.

    Parameters
    ----------
    row
        ``id``, ``at``, ``who``, ``kind``, ``thing_id``, ``player_id``, ``what``, ``before``.
    previous
        Hash of the row before.
    """
    salt = secrets.token_hex(16) if row["before"] else ""
    digest = digest_of(row["before"], salt=salt)
    return Link(
        salt=salt, digest=digest, previous=previous,
        hash=hash_of(row, digest=digest, previous=previous),
    )  # fmt: skip


def digest_of(before: str, *, salt: str) -> str:
    """Return the keyed digest of what an entry said; "" where it said nothing."""
    if not before:
        return ""
    return hmac.digest(bytes.fromhex(salt), before.encode(), "sha256").hex()


def hash_of(row: Mapping[str, Any], *, digest: str, previous: str) -> str:
    """Return the hash of a row that follows on another one."""
    at: datetime = row["at"]
    said = [
        _FORM,
        row["id"],
        # SQLite has no time zones; what it keeps is UTC
        (at.astimezone(UTC) if at.tzinfo else at).strftime("%Y-%m-%dT%H:%M:%S.%f"),
        row["who"],
        row["kind"],
        str(row["thing_id"]),
        str(row["player_id"]),
        row["what"],
        digest,
        previous,
    ]
    return hashlib.sha256(json.dumps(said, separators=(",", ":")).encode()).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal:
    """How far the log went and what it came to; with it, nothing up to there can change unseen."""

    #: number of the last entry; 0 for an empty log
    number: int
    hash: str

    def __str__(self) -> str:
        """Return it as it is written down: ``120-9f86d0…``."""
        return f"{self.number}-{self.hash}"


@dataclass(frozen=True, slots=True, kw_only=True)
class LogCheck:
    """What checking the log found."""

    entries: int
    #: of the last entry that is right
    seal: Seal
    #: number of the first entry that is wrong; None where all are right
    broken: int | None
    #: what is wrong with it; ""
    why: str


def check(
    rows: Iterable[Mapping[str, Any]], *, erased: Mapping[UUID, int], known: Seal | None = None
) -> LogCheck:
    """Follow the chain up to the first entry that is wrong.

    Parameters
    ----------
    rows
        All columns of the log, by number.
    erased
        Number of the last entry that tells of an erasure, by player: only before it may texts
        be blank.
    known
        A seal written down earlier.
    """
    entries, seal = 0, Seal(number=0, hash=START)
    for row in rows:
        why = _wrong(row, seal, erased) or _not_as_known(row, seal, known)
        if why:
            return LogCheck(entries=entries, seal=seal, broken=row["id"], why=why)
        entries, seal = entries + 1, Seal(number=row["id"], hash=row["hash"])
    if known is not None and known.number > seal.number:
        why = "it is gone, and with it all that came after"
        return LogCheck(entries=entries, seal=seal, broken=known.number, why=why)
    return LogCheck(entries=entries, seal=seal, broken=None, why="")


def _wrong(row: Mapping[str, Any], last: Seal, erased: Mapping[UUID, int]) -> str:
    return next(_faults(row, last, erased), "")


def _faults(row: Mapping[str, Any], last: Seal, erased: Mapping[UUID, int]) -> Iterator[str]:
    if row["previous"] != last.hash:
        yield "an entry before it was changed, taken out or put in"
    if row["hash"] != hash_of(row, digest=row["digest"], previous=row["previous"]):
        yield "it was changed"
    blank = row["digest"] and not row["before"] and not row["salt"]
    if blank and erased.get(row["player_id"], 0) <= row["id"]:
        yield "what it said was blanked, and no erasure explains that"
    if not blank and not _says_what_it_said(row):
        yield "what it said was changed"


def _says_what_it_said(row: Mapping[str, Any]) -> bool:
    try:
        return bool(digest_of(row["before"], salt=row["salt"]) == row["digest"])
    except ValueError:
        return False


def _not_as_known(row: Mapping[str, Any], last: Seal, known: Seal | None) -> str:
    if known is None or not last.number < known.number <= row["id"]:
        return ""
    same = row["id"] == known.number and row["hash"] == known.hash
    return "" if same else "the log up to it was written anew since that seal"
