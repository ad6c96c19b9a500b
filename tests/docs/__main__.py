"""Write every generated paper again."""

from __future__ import annotations

from tests.docs.papers import papers

__all__: list[str] = []

if __name__ == "__main__":
    for path, text in papers().items():
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")
            print(f"wrote {path}")
