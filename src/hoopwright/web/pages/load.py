"""Load: what was done on a day, pain and head knocks, and what to be careful about."""

from dataclasses import replace
from datetime import date
from uuid import UUID

from starlette.responses import Response

from hoopwright.actions import load, people
from hoopwright.actions.checks import at_field
from hoopwright.errors import NotFound
from hoopwright.load.nouns import Clearer, Flag, FlagKind, LoadEntry
from hoopwright.web.forms import Fields
from hoopwright.web.visit import WHO, Visit

#: who may clear what, as the form says it
CLEARERS = {
    FlagKind.PAIN: (
        (Clearer.FAMILY, "Player or parent: it is gone"),
        (Clearer.PROFESSIONAL, "A licensed health professional"),
    ),
    FlagKind.HEAD_KNOCK: ((Clearer.PROFESSIONAL, "A licensed health professional"),),
}


def shown(visit: Visit) -> Response:
    """Show a player's load: cautions, a form for today, what was written down."""
    player_id = visit.id("player")
    return visit.page(
        "load.html",
        player=people.get_player(visit.session, player_id),
        reading=load.cautions_for(visit.session, player_id, date.today()),
        today=date.today().isoformat(),
    )


def note(visit: Visit) -> Response:
    """Write down what was done on a day."""
    player_id = visit.id("player")
    entry = _typed_entry(visit.fields, visit.fields.identity("id"), player_id)
    load.note_load(visit.session, entry, who=WHO)
    return visit.go("load", player=player_id)


def entry(visit: Visit) -> Response:
    """Show one day's entry to correct it."""
    found = _entry(visit)
    return visit.page(
        "load_entry.html",
        player=people.get_player(visit.session, found.player_id),
        entry=found,
        today=date.today().isoformat(),
    )


def save_entry(visit: Visit) -> Response:
    """Store an entry anew."""
    before = _entry(visit)
    after = _typed_entry(visit.fields, before.id, before.player_id)
    load.change_load(visit.session, after, who=WHO)
    return visit.go("load", player=before.player_id)


def remove_entry(visit: Visit) -> Response:
    """Remove an entry; the log of changes keeps it."""
    gone = load.remove_load(visit.session, _entry(visit).id, who=WHO)
    return visit.go("load", player=gone.player_id)


def stop(visit: Visit) -> Response:
    """Show the form that stops a player: pain, or a knock to the head."""
    return visit.page(
        "flag_new.html",
        player=people.get_player(visit.session, visit.id("player")),
        asked=visit.request.query_params.get("kind", ""),
        today=date.today().isoformat(),
    )


def raise_flag(visit: Visit) -> Response:
    """Stop a player."""
    fields, player_id = visit.fields, visit.id("player")
    flag = Flag(
        id=fields.identity("id"),
        player_id=player_id,
        kind=fields.needed_choice("kind", FlagKind, "Say what it is: pain or a head knock."),
        day=fields.day("day"),
        note=fields.text("note"),
        reported_by=fields.text("reported_by"),
    )
    fields.check()
    load.raise_flag(visit.session, flag, who=WHO)
    return visit.go("load", player=player_id)


def flag(visit: Visit) -> Response:
    """Show one flag: who said that the player may go on, or why it is taken back."""
    found = _flag(visit)
    return visit.page(
        "flag.html",
        player=people.get_player(visit.session, found.player_id),
        flag=found,
        clearers=CLEARERS[found.kind],
        today=date.today().isoformat(),
    )


def clear(visit: Visit) -> Response:
    """Write down who said that the player may go on."""
    found, fields = _flag(visit), visit.fields
    by = fields.needed_choice("by", Clearer, "Say who cleared the player.")
    day = fields.day("day")
    fields.check()
    with at_field("day"):
        load.clear_flag(
            visit.session, found.id, on=day, by=by, name=fields.text("name"), who=WHO
        )  # fmt: skip
    return visit.go("load", player=found.player_id)


def withdraw(visit: Visit) -> Response:
    """Take back a flag that was raised by mistake."""
    found = _flag(visit)
    load.withdraw_flag(visit.session, found.id, reason=visit.fields.text("reason"), who=WHO)
    return visit.go("load", player=found.player_id)


def _entry(visit: Visit) -> LoadEntry:
    for one in load.load_of(visit.session, visit.id("player")):
        if one.id == visit.id("entry"):
            return one
    raise NotFound("That load entry is not in the store; it may have been removed.")


def _flag(visit: Visit) -> Flag:
    for one in load.flags_of(visit.session, visit.id("player")):
        if one.id == visit.id("flag"):
            return one
    raise NotFound("That flag is not in the store; it may have been taken back.")


def _typed_entry(fields: Fields, entry_id: UUID, player_id: UUID) -> LoadEntry:
    bare = LoadEntry(
        id=entry_id, player_id=player_id, day=fields.day("day"), note=fields.text("note")
    )
    organised = fields.number("organised_minutes", "The organised minutes", default=0.0)
    alone = fields.number("self_led_minutes", "The minutes alone", default=0.0)
    timed = fields.tried(
        "organised_minutes",
        lambda: replace(bare, organised_minutes=organised, self_led_minutes=alone),
        instead=bare,
    )
    coached = fields.whole("coached_shots", "The shots with a coach", default=0)
    own = fields.whole("self_led_shots", "The shots alone", default=0)
    games = fields.whole("games", "The games", default=0)
    whole = fields.tried(
        "coached_shots",
        lambda: replace(timed, coached_shots=coached, self_led_shots=own, games=games),
        instead=timed,
    )
    fields.check()
    return whole
