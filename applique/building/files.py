"""Where everything of a block is put."""

from __future__ import annotations

from dataclasses import dataclass

from applique.building.folder import KEPT


@dataclass(frozen=True)
class BlockFiles:
    """The names of a block's files in the build's folder; `stem` is its name in plain letters."""

    stem: str

    @property
    def folder(self) -> str:
        """The block's folder."""
        return f"blocks/{self.stem}"

    @property
    def layers(self) -> str:
        """The layered block."""
        return self._named("layers.svg")

    @property
    def cut_lines(self) -> str:
        """The folder of its cut lines by fabric, kept for the sheets of all blocks."""
        return f"{KEPT}/cut-lines/{self.stem}"

    @property
    def steps(self) -> str:
        """What is remembered of how its pieces are sewn."""
        return f"{KEPT}/steps/{self.stem}"

    @property
    def proof(self) -> str:
        """The figures of its proof."""
        return self._named("proof.json")

    @property
    def proof_picture(self) -> str:
        """The picture of its proof."""
        return self._named("proof.png")

    @property
    def card(self) -> str:
        """Its card."""
        return self._named("card.pdf")

    @property
    def picture(self) -> str:
        """How it will look."""
        return self._named("picture.png")

    @property
    def run_sheet(self) -> str:
        """Its run sheet for the browser."""
        return self._named("run-sheet.html")

    @property
    def run_sheet_pdf(self) -> str:
        """Its run sheet on paper."""
        return self._named("run-sheet.pdf")

    @property
    def stitch_out(self) -> str:
        """The page that plays its sewing."""
        return self._named("stitch-out.html")

    @property
    def hoopings(self) -> str:
        """The folder of its stitch files and templates."""
        return f"{self.folder}/hoopings"

    def _named(self, what: str) -> str:
        return f"{self.folder}/{self.stem}-{what}"
