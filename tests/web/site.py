"""Walk the pages as a browser without scripts does: read forms, fill them in, send them."""

import html
import re
from dataclasses import dataclass
from uuid import uuid4

from starlette.testclient import TestClient

#: what a browser sends along with a form of our own pages
OWN = {"origin": "http://127.0.0.1", "sec-fetch-site": "same-origin"}


@dataclass
class Answer:
    status: int
    path: str
    text: str

    @property
    def words(self) -> str:
        """The page as read: tags and entities gone."""
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", self.text)).split())

    def trouble(self, field: str) -> str:
        """The sentence beside a field."""
        found = re.search(rf'id="trouble-{field}">(.*?)</p>', self.text)
        assert found, f"no sentence beside {field}: {self.words[:400]}"
        return html.unescape(found[1])

    def value(self, field: str) -> str:
        """What a text field holds."""
        found = re.search(rf'name="{field}"[^>]*?value="([^"]*)"', self.text)
        assert found, f"no field {field}"
        return html.unescape(found[1])


class Pages:
    """A browser of sorts."""

    def __init__(self, client: TestClient) -> None:
        self.client = client

    def get(self, path: str, **headers: str) -> Answer:
        answer = self.client.get(path, headers=headers)
        return Answer(answer.status_code, answer.url.path, answer.text)

    def post(self, path: str, **fields: str) -> Answer:
        answer = self.client.post(path, data=fields, headers=OWN)
        return Answer(answer.status_code, answer.url.path, answer.text)

    def player(self, name: str = "Invented Ash", **fields: str) -> str:
        """Add a player; return the address of the player's page."""
        given = {"name": name, "ring_height": "3.05 m", "id": str(uuid4())} | fields
        answer = self.post("/players/new", **given)
        assert answer.status == 200 and answer.path.startswith("/players/"), answer.words
        return answer.path

    def set(self, player: str, **fields: str) -> str:
        """Start a workout; return the address of its first set."""
        answer = self.post(player + "/workouts/new", **({"id": str(uuid4())} | fields))
        assert answer.status == 200 and answer.path.startswith("/sets/"), answer.words
        return answer.path
