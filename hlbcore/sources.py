"""Where a figure was published."""

from __future__ import annotations

from dataclasses import dataclass

SOURCE_KINDS = (
    "handbook",
    "paper",
    "supplier",
    "standard",
    "regulation",
    "teaching",
    "blog",
    "practice",
    "memory",
)


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure was published.

    Parameters
    ----------
    key : str
        Author and year.
    kind : str
        handbook, paper, supplier, standard, regulation, teaching, blog, practice or memory.
    authors, title, year, publisher_or_journal, doi_or_url, read_on, note : str
        The citation.
    root : str
        Where its figures come from, ``;`` between several; blank where that was not judged.
    place : int
        1 the one who found them, 2 copied, 3 copy of a copy; 0 where that was not judged.
    """

    key: str
    kind: str
    authors: str = ""
    title: str = ""
    year: str = ""
    publisher_or_journal: str = ""
    doi_or_url: str = ""
    read_on: str = ""
    note: str = ""
    root: str = ""
    place: int = 0

    @property
    def roots(self) -> tuple[str, ...]:
        """Its roots, the first one leading."""
        return tuple(r for part in self.root.split(";") if (r := part.strip()))

    @property
    def citation(self) -> str:
        """The citation as one line."""
        parts = (self.authors, self.title, self.publisher_or_journal, self.year, self.doi_or_url)
        line = ". ".join(p.rstrip(".") for p in parts if p)
        if self.kind == "memory":
            return f"{line} (from memory, not opened)"
        seen_in_part = self.note.startswith(("abstract only seen", "abstract seen"))
        return f"{line} (abstract only seen)" if seen_in_part else line
