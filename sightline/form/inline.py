"""What a page that opens from the disk holds within itself: data that stays data, scripts that its policy names."""

from __future__ import annotations

import base64
import hashlib
import json
from typing import Any


def hash_of(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def json_text(data: Any) -> str:
    """JSON that cannot end the script element it stands in."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
