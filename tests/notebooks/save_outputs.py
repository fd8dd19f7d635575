"""Runs the notebooks in a kernel and keeps what they show, pictures small.

    python tests/notebooks/save_outputs.py [number ...]

Needs the extra `notebooks`. `test_notebooks.py` then holds what is kept against the code.
"""

from __future__ import annotations

import base64
import io
import sys
from pathlib import Path
from typing import Any

from PIL import Image

FOLDER = Path(__file__).parents[2] / "notebooks"
COLOURS = 128
KEPT = ("text/plain", "text/html", "image/png")


def small(png: str) -> str:
    """A picture in few colours: figures have flat ones."""
    with Image.open(io.BytesIO(base64.b64decode(png))) as picture:
        flat = Image.new("RGB", picture.size, "white")
        flat.paste(picture, mask=picture.getchannel("A") if picture.mode == "RGBA" else None)
    out = io.BytesIO()
    flat.quantize(COLOURS, dither=Image.Dither.NONE).save(out, "png", optimize=True)
    return base64.b64encode(out.getvalue()).decode()


def tidied(output: Any) -> Any:
    """An output without what a reader does not see."""
    output.pop("execution_count", None)
    if "data" in output:
        data = {k: v for k, v in output["data"].items() if k in KEPT}
        if "image/png" in data:
            data = {"image/png": small(data["image/png"]), "text/plain": "a figure"}
        output["data"], output["metadata"] = data, {}
        if output["output_type"] == "execute_result":
            output["execution_count"] = None
    return output


def save(path: Path) -> None:
    """Run one notebook and write it back."""
    import nbformat  # of the extra, which the tests that walk this folder do without
    from nbclient import NotebookClient

    notebook = nbformat.read(path, as_version=4)
    NotebookClient(notebook, timeout=300, resources={"metadata": {"path": str(FOLDER)}}).execute()
    for cell in notebook.cells:
        cell.metadata.clear()
        if cell.cell_type == "code":
            cell.execution_count = None
            cell.outputs = [tidied(o) for o in cell.outputs]
    notebook.metadata = {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
    }
    nbformat.write(notebook, path)


if __name__ == "__main__":
    for one in sorted(FOLDER.glob("*.ipynb")):
        if not sys.argv[1:] or str(int(one.stem[:2])) in sys.argv[1:]:
            save(one)
            print(one.name, f"{one.stat().st_size / 1000:.0f} kB", flush=True)
