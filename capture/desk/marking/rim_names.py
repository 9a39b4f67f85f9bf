"""What the shop calls the two holes, in every word about their rims. No Qt in here."""

from typing import NamedTuple

from capture.desk.limit.clauses import capital


class RimNames(NamedTuple):
    """The plan's names of the near and the far hole ("bearing hole", "block hole")."""

    near: str = "bearing hole"
    far: str = "block hole"

    def put_in(self, text: str) -> str:
        """Return a text with the bench's names for "near rim", "far rim", "far outline"."""
        for plain, name in (("near rim", f"{self.near}'s rim"), ("far rim", f"{self.far}'s rim")):
            text = text.replace(plain, name).replace(capital(plain), capital(name))
        return text.replace("far outline", "drawn opening")
