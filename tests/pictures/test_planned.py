"""Every picture says at its foot that it is planned, and where the list of what it rests on is: one line, small."""

from __future__ import annotations

import pytest

from sightline.pictures import style
from sightline.pictures.planned import planned
from tests.pictures.shown import PICTURES


@pytest.mark.parametrize("name", list(PICTURES))
def test_the_foot_says_that_it_is_planned(name: str) -> None:
    texts = PICTURES[name]().texts
    foot = [text for text in texts if text.get_text().startswith("Planned, not walked")]
    assert len(foot) == 1
    assert foot[0].get_fontsize() == style.FOOT_PT
    # Under all else, within the lower edge.
    assert foot[0].get_position()[1] <= min(text.get_position()[1] for text in texts) + 0.05
    assert not foot[0].get_text().endswith("...")


def test_an_estimated_body_is_told() -> None:
    estimated = ["The body is 172 cm tall; 45 of its sizes are estimated (somebody)."]
    assert "body sizes partly estimated" in planned(estimated)
    assert "estimated" not in planned(["Seated eyes are 1.12 m up."])
    assert planned(estimated, "sightline rehearse").endswith("sightline rehearse.")
