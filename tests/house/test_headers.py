"""Does every answer forbid what our pages never need: foreign content, frames, scripts in text?"""

import re
from pathlib import Path

import pytest

HANDLER = re.compile(
    r"\son(?:click|change|submit|load|input|error|focus|blur|key\w+|mouse\w+|pointer\w+)\s*="
)
TEMPLATES = Path(__file__).resolve().parents[2] / "templates"


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/account/sign-in/", "/api/v1/nowhere/", "/nowhere/", "/deck/"])
def test_every_answer_carries_the_policy(client, path):
    policy = client.get(path)["Content-Security-Policy"]

    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "frame-ancestors 'none'" in policy


@pytest.mark.django_db
def test_the_deck_page_may_run_its_worker_be_installed_and_use_the_camera(client):
    answer = client.get("/deck/")

    policy = answer["Content-Security-Policy"]
    assert "worker-src 'self'" in policy
    assert "manifest-src 'self'" in policy
    assert "camera=(self)" in answer["Permissions-Policy"]


def test_no_template_holds_a_script_that_the_policy_would_stop():
    offending = []
    for template in TEMPLATES.rglob("*.html"):
        text = template.read_text(encoding="utf-8")
        for tag in re.findall(r"<script\b[^>]*>", text):
            if "src=" not in tag and "application/json" not in tag:
                offending.append((template.name, tag))
        offending += [(template.name, found) for found in HANDLER.findall(text)]

    assert offending == []
